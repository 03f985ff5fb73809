/*
 * caution.c - see caution.h.
 */
#include "assess/finding/caution.h"

const char mr_caution_relieve[] =
    "Relieve both lines before any fitting, hose, filter or gun is opened: a jet from a charged line goes "
    "through skin, and such a wound needs a surgeon at once.";
const char mr_caution_mix[] =
    "Keep part A and part B apart everywhere but in the gun's mixing path: mixed in a hose, pump or closed "
    "container they set to a plug and the heat can burst it. Relieve both lines before opening anything.";
