/*
 * cautions.c - see cautions.h; the README gives the same in short.
 */
#include "render/data/cautions.h"

const char mr_limit_of_use[] = "This report assists. It does not replace a qualified coating inspector, the "
                               "supplier's written instructions, the "
                               "contract's specification or local codes.";

const struct mr_meaning_of mr_meanings[MR_MEANINGS] = {
    {MR_CONFORMS, "every check that the specification asks for was made, and every value is within its limits"},
    {MR_DOES_NOT_CONFORM, "a value is outside its limits, or something that must not happen did"},
    {MR_NOT_SHOWN, "the data do not suffice to decide; this never counts as conforming"},
    {MR_NOT_REQUIRED, "the specification does not ask for it"}};

const char mr_foot_words[] = "Assists; does not replace a qualified coating inspector.";

const char *const mr_cautions[MR_CAUTIONS] = {
    "Lines under pressure can drive material through the skin. Relieve the pressure before anything is opened, and "
    "treat any such injury as a medical emergency, however small it looks.",
    "Protect eyes, breathing and hands as the supplier's safety data sheets say, for both parts and for the cleaning "
    "agents.",
    "The two parts may meet only in the gun's mixing path. Mixed in a hose, a pump or a closed container they give "
    "off heat, build pressure and set to a solid plug.",
    "A dropout, a surge or lines that drift apart point to a blockage: stop spraying, relieve the lines, and find "
    "the cause before going on.",
    "Confined spaces, work at height and blasting have their own rules and permits; nothing here replaces them."};

const char *const mr_limits[MR_LIMITS] = {
    "This report arranges and checks what the instruments and the logs say. It assists a qualified coating inspector "
    "and does not replace one.",
    "It does not replace the supplier's written instructions, the contract's specification, local codes or licensed "
    "engineering; where they differ from it, they take precedence.",
    "It makes no claim about fire protection, about the capacity of the structure, or about how long the coating "
    "will protect against corrosion.",
    "Limits marked \"common practice, no source\" are common practice, not published rules; the job may set its "
    "own.",
    "\"Not shown\" means that the data do not suffice to decide. It is not a softer word for \"conforms\".",
    "Outcomes rest on unrounded values. What lies between the points of measurement is not "
    "known."};
