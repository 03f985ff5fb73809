/*
 * spray_action.c - what the action of a spray log's row says was done. What may be a coat or not is called unclear,
 * so that it neither proves one nor goes unseen.
 */
#include "normalise/row/row_fields.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/phrase/ticks.h"
#include "normalise/phrase/verdict_words.h"

#include <string.h>

/* "Repair planned", "no repair", "respray required": the work was not done, as far as this row says. */
static bool is_undone(const char *words) {
    static const char *const undone[] = {"planned",  "plan",      "scheduled", "pending",     "required", "needed",
                                         "to do",    "todo",      "to be",     "cancelled",   "canceled", "open",
                                         "proposed", "requested", "due",       "postponed",   "aborted",  "refused",
                                         "geplant",  "nötig",     "notig",     "abgebrochen", "prévu",    "prevu",
                                         "requis",   "annule",    "previsto",  "pendiente",   "tomorrow", "later"};
    return strncmp(words, "to ", 3) == 0 || mr_words_negated(words) ||
           mr_words_hold_any(words, undone, MR_COUNT(undone));
}

/* Work on the film, and where on it. Numbers and single letters name places. */
static const char *const of_work[] = {
    "no",        "nos",       "nr",   "number",  "numbers", "bereiche", "area",    "areas",  "spot",       "spots",
    "zone",      "film",      "coat", "coats",   "coating", "spray",    "sprayed", "by",     "spraying",   "local",
    "hand",      "and",       "of",   "at",      "on",      "in",       "to",      "from",   "the",        "a",
    "an",        "one",       "two",  "three",   "four",    "pass",     "passes",  "more",   "extra",      "again",
    "further",   "second",    "edge", "edges",   "weld",    "welds",    "seam",    "corner", "deck",       "corners",
    "stiffener", "flange",    "web",  "bereich", "stelle",  "after",    "survey",  "done",   "stiffeners", "stellen",
    "complete",  "completed", "up",   "work"};

/* A repair closes what failed: "pump repair" and "repair of hose" are none. */
static const char *const of_repair[] = {"thin", "thick",   "low",     "touch",    "touched",
                                        "re",   "holiday", "blister", "holidays", "blisters"};

/* A coat proves that the zone was sprayed: primer, a mist coat or a test panel are none. */
static const char *const of_coat[] = {
    "first",      "third",    "fourth",  "last",      "final",     "full",  "start", "started", "stop",
    "stopped",    "finished", "resumed", "continued", "remainder", "rest",  "part",  "side",    "ceramic",
    "insulation", "layer",    "layers",  "round",     "up",        "down",  "left",  "right",   "north",
    "south",      "east",     "west",    "inner",     "outer",     "upper", "lower", "top",     "bottom",
    "inside",     "outside",  "wide",    "length",    "gun",       "gang",  "erste", "zweite",  "dritte",
    "lage",       "schicht",  "st",      "nd",        "rd",        "th"};

/* They say what was done with the coat other than spray it. */
static const char *const calm[] = {
    "inspection",  "inspected", "inspect",     "check",    "checked",  "checks",    "measured", "measurement",
    "cure",        "cured",     "curing",      "dry",      "dried",    "ready",     "masked",   "masking",
    "demasking",   "demasked",  "unmasking",   "unmasked", "signed",   "signature", "removed",  "serviced",
    "maintenance", "service",   "weighed",     "accepted", "rejected", "photo",     "photos",   "gepruft",
    "prufung",     "scaffold",  "scaffolding", "moved",    "wait",     "waiting",   "rain",     "weather",
    "meeting",     "detection", "handover",    "heated",   "heating",  "visual",    "shaded",   "covered"};

/* Work on the lines of the pump and on its gun: "cleaned steel" and "crew relieved" are none. */
static const char *const of_lines[] = {
    "line",         "lines",       "hose",    "hoses",     "gun",       "pump",      "system",   "machine",
    "proportioner", "mixer",       "mix",     "mixing",    "static",    "tip",       "tips",     "nozzle",
    "manifold",     "block",       "chamber", "module",    "filter",    "filters",   "strainer", "side",
    "sides",        "part",        "both",    "all",       "whole",     "full",      "fully",    "complete",
    "completely",   "main",        "air",     "supply",    "valve",     "valves",    "closed",   "shut",
    "set",          "to",          "zero",    "off",       "out",       "down",      "up",       "pressure",
    "pressures",    "bar",         "psi",     "kpa",       "and",       "of",        "the",      "at",
    "for",          "with",        "by",      "in",        "on",        "from",      "after",    "before",
    "left",         "solvent",     "water",   "thinner",   "flush",     "fluid",     "done",     "end",
    "start",        "shift",       "day",     "night",     "overnight", "break",     "lunch",    "noon",
    "pause",        "stop",        "stopped", "work",      "spraying",  "spray",     "test",     "leak",
    "clean",        "mischkammer", "leitung", "leitungen", "schlauch",  "schlauche", "pistole",  "pumpe",
    "beide",        "druck",       "und",     "mit",       "am",        "vor",       "nach",     "schichtende",
    "no",           "leaks",       "ok",      "passed"};

/* "Relieved line A": the other one stays charged. */
static bool is_of_one_line(const char *words) {
    static const char *const a[] = {"line a", "a line", "side a", "a side", "hose a", "a hose", "part a"};
    static const char *const b[] = {"line b", "b line", "side b", "b side", "hose b", "b hose", "part b"};
    static const char *const both[] = {"a and b", "a b", "b and a", "both"};
    return mr_words_hold_any(words, a, MR_COUNT(a)) != mr_words_hold_any(words, b, MR_COUNT(b)) &&
           !mr_words_hold_any(words, both, MR_COUNT(both));
}

/* Whether each word is of work on the film: known here, in a list of the map, or of the zone's name. zone: NULL for
 * work on the lines. */
static bool all_known(const struct mr_map *map, const char *words, const char *list, const char *const *also,
                      size_t n_also, const char *zone) {
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        char word[24] = {0};
        memcpy(word, w, n < sizeof word ? n : sizeof word - 1);
        const bool of_film = zone && (mr_word_among(w, n, of_work, MR_COUNT(of_work)) || mr_words_hold(zone, word));
        if (n > 1 && !mr_is_digit(*w) && !of_film && !mr_word_among(w, n, also, n_also) &&
            !mr_list_holds(mr_map_list(map, list), word, true))
            return false;
    }
    return true;
}

static enum mr_action spray_or_not(const struct mr_map *map, const char *words, const char *zone) {
    if (all_known(map, words, "actions.spray", of_coat, MR_COUNT(of_coat), zone))
        return MR_ACTION_SPRAY;
    return mr_words_hold_any(words, calm, MR_COUNT(calm)) ? MR_ACTION_OTHER : MR_ACTION_UNCLEAR;
}

/* "Recoated", "ground off", "topcoat" of coat 1: what was done with it nobody can tell. */
static bool is_odd_work(const struct mr_map *map, const char *words, const char *zone) {
    return !mr_words_hold_any(words, calm, MR_COUNT(calm)) &&
           !all_known(map, words, "actions.clean out", of_lines, MR_COUNT(of_lines), zone);
}

/* "Mix check: no heat", "leak test - leak at B". */
static bool says_failed(const char *words) {
    static const char *const amiss[] = {"leak at", "leaked", "leaking", "aborted", "no heat", "undicht"};
    return mr_says_not_passed(words) || mr_words_hold_any(words, amiss, MR_COUNT(amiss));
}

bool mr_is_failed_test(struct mr_file_state *state, const struct mr_spray *r) {
    return (r->action == MR_ACTION_WATER_TEST || r->action == MR_ACTION_MIX_CHECK) &&
           says_failed(mr_words_fold(state->scratch, r->action_text, strlen(r->action_text)));
}

/* What a row says was done and no list knows is for a person to read: "weld bracket", "water test failed". */
void mr_tell_action(const struct mr_spread *s, struct mr_spray *r) {
    struct mr_file_state *state = s->state;
    const char *words = mr_words_fold(state->scratch, r->action_text, strlen(r->action_text));
    if (r->action != MR_ACTION_OTHER || !*words ||
        (mr_words_hold_any(words, calm, MR_COUNT(calm)) && !mr_says_amiss(words) && !mr_words_negated(words)))
        return;
    r->unknown = true;
    for (size_t i = 0; i < state->file->sayings.n; i++) {
        struct mr_saying *said = &state->file->sayings.v[i];
        if (strcmp(said->name, "Action") == 0 && strcmp(said->text, r->action_text) == 0) {
            said->cells++;
            return;
        }
    }
    const struct mr_saying saying = {.line = r->line, .name = "Action", .text = r->action_text, .cells = 1};
    MR_PUSH(state->arena, &state->file->sayings, saying);
}

enum mr_action mr_spray_action(struct mr_file_state *state, const char *text, const char *zone, const char *coat) {
    static const struct {
        const char *list;
        enum mr_action action;
    } lists[] = {{"actions.clean out", MR_ACTION_CLEAN_OUT}, {"actions.water test", MR_ACTION_WATER_TEST},
                 {"actions.mix check", MR_ACTION_MIX_CHECK}, {"actions.relieve", MR_ACTION_RELIEVE},
                 {"actions.repair", MR_ACTION_REPAIR},       {"actions.spray", MR_ACTION_SPRAY}};
    if (!*text)
        return MR_ACTION_SPRAY;
    const struct mr_map *map = state->plan->map;
    const char *words = mr_words_fold(state->scratch, text, strlen(text));
    const char *place = mr_words_fold(state->scratch, zone, strlen(zone));
    enum mr_action action = MR_ACTION_OTHER;
    for (size_t i = 0; i < MR_COUNT(lists) && action == MR_ACTION_OTHER; i++)
        if (mr_list_holds(mr_map_list(map, lists[i].list), words, false))
            action = lists[i].action;
    const bool tests = action == MR_ACTION_WATER_TEST || action == MR_ACTION_MIX_CHECK;
    if (tests && says_failed(words)) /* "no heat" is how one ends */
        return action;
    if (is_undone(words) || (action == MR_ACTION_RELIEVE && says_failed(words)))
        return MR_ACTION_OTHER;
    if (action == MR_ACTION_OTHER && *coat && *zone && is_odd_work(map, words, place))
        return MR_ACTION_UNCLEAR;
    if (strchr(text, '?'))
        return action == MR_ACTION_SPRAY ? MR_ACTION_UNCLEAR : MR_ACTION_OTHER;
    if ((action == MR_ACTION_CLEAN_OUT &&
         !all_known(map, words, "actions.clean out", of_lines, MR_COUNT(of_lines), NULL)) ||
        (action == MR_ACTION_RELIEVE &&
         (!all_known(map, words, "actions.relieve", of_lines, MR_COUNT(of_lines), NULL) || is_of_one_line(words))))
        return MR_ACTION_OTHER;
    if (action == MR_ACTION_REPAIR && !all_known(map, words, "actions.repair", of_repair, MR_COUNT(of_repair), ""))
        return MR_ACTION_OTHER;
    return action == MR_ACTION_SPRAY ? spray_or_not(map, words, place) : action;
}

void mr_doubt_blank_actions(struct mr_spray *rows, size_t n) {
    bool says_spray = false;
    for (size_t i = 0; i < n; i++)
        says_spray |= rows[i].action == MR_ACTION_SPRAY && *rows[i].action_text;
    for (size_t i = 0; i < n && says_spray; i++)
        if (!*rows[i].action_text && !*rows[i].coat)
            rows[i].action = MR_ACTION_UNCLEAR;
}
