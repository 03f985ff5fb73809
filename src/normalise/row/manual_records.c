/*
 * manual_records.c - rows of tables kept by hand: spray log, shift record, material, zones.
 */
#include "normalise/row/hand_doubts.h"
#include "normalise/row/row_fields.h"
#include "normalise/row/second_times.h"
#include "normalise/row/shelf_dates.h"

#include "base/text.h"
#include "normalise/cell/answers.h"
#include "normalise/cell/when.h"
#include "normalise/cell/words.h"
#include "normalise/column/suggest.h"
#include "normalise/phrase/removal_words.h"

#include "normalise/row/row_fates.h"

#include <math.h>
#include <string.h>

/* An optional figure of a register: canonical, NaN where absent or wrong; *bad counts wrong ones. */
static double figure(const struct mr_spread *s, enum mr_meaning m, int *bad) {
    double value;
    enum mr_unit unit;
    if (!s->cell[m])
        return (double)NAN;
    int got = mr_spread_number(s, s->col[m], s->cell[m], &value, &unit);
    if (got == MR_ASIDE_NO_VALUE)
        return (double)NAN;
    if (got != MR_FATE_USED) {
        *bad = got;
        return (double)NAN;
    }
    enum mr_dim dim = mr_meaning_dim(m);
    if (unit == MR_UNIT_NONE && dim != MR_DIM_NONE) {
        mr_spread_say(s, MR_ASIDE_NO_UNIT, m, "Write the unit after the number or in the heading. Value left out.",
                      "has no unit");
        return (double)NAN;
    }
    return dim == MR_DIM_NONE ? value : mr_to_canonical(unit, value);
}

static bool bad_clock(const struct mr_spread *s, enum mr_meaning m, int64_t *date, int64_t *clock) {
    *date = MR_T_NONE;
    *clock = -1;
    if (!s->cell[m])
        return false;
    enum mr_time_read got = mr_timer_cell(&s->state->timer, s->cell[m], s->row->line, date, clock);
    if (got == MR_READ_BAD || got == MR_READ_ZONE) {
        mr_spread_say(s, MR_ASIDE_BAD_TIME, m, "Write it as 14:03 or 2026-05-11 14:03. Row set aside.",
                      "is not a time");
        return true;
    }
    return false;
}

/* "09:10-09:32", "9:10 to 9:32": from and to in the start's cell, where no stop has its own. Both halves must be
 * clocks. */
static bool take_range(const struct mr_spread *s, struct mr_spray_times *t) {
    const struct mr_cell *c = s->cell[MR_M_STOP] ? NULL : s->cell[MR_M_START];
    static const char *const marks[] = {"-", "\xe2\x80\x93", " to ", " bis "};
    for (size_t k = 0; c && k < MR_COUNT(marks); k++) {
        size_t n = strlen(marks[k]);
        for (size_t i = 1; i + n < c->n; i++) {
            struct mr_when from, to;
            if (memcmp(c->p + i, marks[k], n) != 0 || !mr_when_scan(c->p, i, &from) ||
                !mr_when_scan(c->p + i + n, c->n - i - n, &to) || from.has_date || to.has_date || from.letters ||
                to.letters || from.has_zone || to.has_zone)
                continue;
            t->start_date = t->stop_date = MR_T_NONE;
            t->start_clock = from.clock_ms;
            t->stop_clock = to.clock_ms;
            return true;
        }
    }
    return false;
}

/* How long the row says it took, in ms; -1 where it does not. "0:22" may be minutes or hours and is left out. */
static int64_t duration_of(const struct mr_spread *s) {
    const struct mr_cell *c = s->cell[MR_M_DURATION];
    int64_t ms;
    if (!c)
        return -1;
    const char *colon = memchr(c->p, ':', c->n);
    if (colon) {
        bool whole = memchr(colon + 1, ':', c->n - (size_t)(colon + 1 - c->p)) && mr_duration_scan(c->p, c->n, &ms) &&
                     ms < MR_DAY_MS;
        if (!whole)
            mr_spread_say(s, MR_ASIDE_BAD_TIME, MR_M_DURATION, "Write 0:22:00, or 22 min. Value left out.",
                          "is not a time it took");
        return whole ? ms : -1;
    }
    int bad = MR_FATE_USED;
    double seconds = figure(s, MR_M_DURATION, &bad);
    return seconds >= 0.0 && seconds < 86400.0 ? (int64_t)(seconds * 1000.0 + 0.5) : -1;
}

/* A coat or a repair puts film on again, whatever was taken off before. */
static void mark_removal(const struct mr_file_state *state, struct mr_spray *r) {
    const bool of_zone = *r->zone && (r->action == MR_ACTION_OTHER || r->action == MR_ACTION_UNCLEAR ||
                                      r->action == MR_ACTION_CLEAN_OUT || r->action == MR_ACTION_WATER_TEST);
    if (r->action == MR_ACTION_SPRAY || r->action == MR_ACTION_REPAIR)
        return;
    r->removes = mr_says_removed(state->scratch, r->action_text, !of_zone);
    r->note_removes = !r->removes && mr_says_removed(state->scratch, r->note, !of_zone);
    r->removes = r->removes || r->note_removes;
}

int mr_record_spray(const struct mr_spread *s) {
    struct mr_file_state *state = s->state;
    struct mr_spread optional = *s;
    optional.optional = true;
    struct mr_spray_times t = {.doubted = false};
    int64_t unused;
    bool range = take_range(s, &t);
    if ((!range && (bad_clock(s, MR_M_START, &t.start_date, &t.start_clock) ||
                    bad_clock(s, MR_M_STOP, &t.stop_date, &t.stop_clock))) ||
        bad_clock(s, s->cell[MR_M_DATE] ? MR_M_DATE : MR_M_DATETIME, &t.date, &unused))
        return MR_ASIDE_BAD_TIME;
    if (!s->cell[MR_M_START] && !s->cell[MR_M_STOP] && !s->cell[MR_M_ZONE] && !s->cell[MR_M_ACTION])
        return MR_ASIDE_INCOMPLETE;
    struct mr_spray r = {.file = state->index,
                         .line = s->row->line,
                         .action_text = mr_spread_text(s, MR_M_ACTION),
                         .zone = mr_spread_text(s, MR_M_ZONE),
                         .coat = mr_spread_text(s, MR_M_COAT),
                         .direction = mr_spread_text(s, MR_M_DIRECTION),
                         .lot_a = mr_spread_text(s, MR_M_LOT_A),
                         .lot_b = mr_spread_text(s, MR_M_LOT_B),
                         .role = mr_spread_text(s, MR_M_ROLE),
                         .note = mr_spread_text(s, MR_M_NOTE),
                         .areas = mr_spread_text(s, MR_M_AREA_ID)};
    r.action = mr_spray_action(state, r.action_text, r.zone, r.coat);
    mark_removal(state, &r);
    if (r.action == MR_ACTION_SPRAY && !*r.zone) {
        mr_spread_say(s, MR_ASIDE_NO_ZONE, MR_M_ZONE, "Write the zone that was sprayed. Row set aside.",
                      "the row says no zone");
        return MR_ASIDE_NO_ZONE;
    }
    int bad = MR_FATE_USED;
    r.distance_mm = figure(&optional, MR_M_DISTANCE, &bad);
    t.duration_ms = duration_of(&optional);
    mr_take_second_times(&optional, &t);
    r.failed = mr_is_failed_test(state, &r);
    mr_tell_action(s, &r);
    const struct mr_lot_days days = mr_take_lot_days(s);
    r.shelf_a_ms = days.shelf_a;
    r.shelf_b_ms = days.shelf_b;
    r.shelf_unread = days.unread;
    r.from_a_ms = days.from_a;
    r.from_b_ms = days.from_b;
    MR_PUSH(state->scratch, &state->records.sprays, r);
    MR_PUSH(state->scratch, &state->records.spray_times, t);
    return MR_FATE_USED;
}

/* "-", "none", "nobody" and "absent" sign nothing. */
static const char *signed_by(const struct mr_spread *s) {
    static const char *const nobody[] = {"nobody",  "no one",  "noone",   "absent", "unsigned", "not signed",
                                         "missing", "tba",     "tbc",     "tbd",    "niemand",  "personne",
                                         "nadie",   "nessuno", "ninguem", "nikt"};
    const char *text = mr_spread_text(s, MR_M_ROLE);
    const char *words = mr_words_fold(s->state->scratch, text, strlen(text));
    return !*words || mr_answers_none(words) || mr_word_among(words, strlen(words), nobody, MR_COUNT(nobody)) ? ""
                                                                                                              : text;
}

/* The time of a row of a hand-kept record; its day alone where the cell of the time is blank. */
static int64_t time_or_day(const struct mr_spread *s, enum mr_time_read *got) {
    const int64_t t = mr_spread_time(s, got);
    int64_t date, clock;
    if (*got != MR_READ_BLANK || s->state->plan->form != MR_FORM_DATE_CLOCK || !s->cell[MR_M_DATE])
        return t;
    *got = mr_timer_cell(&s->state->timer, s->cell[MR_M_DATE], s->row->line, &date, &clock);
    return *got == MR_READ_OK ? date : MR_T_NONE;
}

int mr_record_shift(const struct mr_spread *s) {
    struct mr_file_state *state = s->state;
    enum mr_time_read got;
    struct mr_shift_item r = {.file = state->index,
                              .line = s->row->line,
                              .day_ms = time_or_day(s, &got),
                              .item = mr_spread_text(s, MR_M_ITEM),
                              .role = signed_by(s),
                              .note = mr_spread_text(s, MR_M_NOTE),
                              .done = -1};
    if (got == MR_READ_BAD || got == MR_READ_ZONE)
        return MR_ASIDE_BAD_TIME;
    if (got != MR_READ_OK) {
        mr_state_say(state, MR_ASIDE_NO_TIME, s->row, 0, NULL, "Write the date as 2026-05-11. Row set aside.",
                     "the row has no date");
        return MR_ASIDE_NO_TIME;
    }
    if (!*r.item)
        return MR_ASIDE_INCOMPLETE;
    const struct mr_cell *c = s->cell[MR_M_DONE];
    if (c) {
        const char *words = mr_words_fold(state->scratch, c->p, c->n);
        if (!*words)
            words = mr_strndup(state->scratch, c->p, c->n);
        if (mr_list_holds(mr_map_list(state->plan->map, "words.no"), words, true))
            r.done = 0;
        else if (mr_list_holds(mr_map_list(state->plan->map, "words.yes"), words, true))
            r.done = 1;
        else
            mr_spread_say(s, MR_ASIDE_INCOMPLETE, MR_M_DONE, "Write yes or no. The item counts as blank.",
                          "is neither yes nor no");
    }
    r.removes = mr_says_removed(state->scratch, r.item, true) || mr_says_removed(state->scratch, r.note, true);
    mr_take_objection(s, &r);
    MR_PUSH(state->scratch, &state->records.shift_items, r);
    return MR_FATE_USED;
}

static bool level(const struct mr_spread *s, enum mr_meaning m, double *out, enum mr_unit *canonical, int *bad) {
    *out = (double)NAN;
    if (!s->cell[m])
        return false;
    double written;
    enum mr_unit unit;
    int got = mr_spread_number(s, s->col[m], s->cell[m], &written, &unit);
    if (got != MR_FATE_USED) {
        *bad = got == MR_ASIDE_NO_VALUE ? *bad : got;
        return false;
    }
    if (unit == MR_UNIT_NONE) {
        mr_spread_say(s, MR_ASIDE_NO_UNIT, m,
                      "Write L, gal, kg or lb after the number or in the heading. Row set aside.", "has no unit");
        *bad = MR_ASIDE_NO_UNIT;
        return false;
    }
    if (written < 0) {
        mr_spread_say(s, MR_ASIDE_OUT_OF_RANGE, m, "Write what the drum held. Row set aside.", "is below zero");
        *bad = MR_ASIDE_OUT_OF_RANGE;
        return false;
    }
    *out = mr_to_canonical(unit, written);
    *canonical = mr_dim_canonical(mr_unit_dim(unit));
    return true;
}

/* Whether a row gives a time of day beside its date. */
static bool states_clock(const struct mr_spread *s) {
    const struct mr_cell *clock = s->cell[MR_M_CLOCK], *hour = s->cell[MR_M_HOUR];
    if ((clock && !mr_missing_word(clock->p, clock->n)) || (hour && !mr_missing_word(hour->p, hour->n)))
        return true;
    static const enum mr_meaning dates[] = {MR_M_DATETIME, MR_M_DATE};
    for (size_t i = 0; i < MR_COUNT(dates); i++) {
        struct mr_when when;
        const struct mr_cell *c = s->cell[dates[i]];
        if (c && mr_when_scan(c->p, c->n, &when) && when.has_clock)
            return true;
    }
    return false;
}

int mr_record_material(const struct mr_spread *s) {
    struct mr_file_state *state = s->state;
    enum mr_time_read got;
    struct mr_material r = {.file = state->index,
                            .line = s->row->line,
                            .t_ms = time_or_day(s, &got),
                            .day_only = !states_clock(s),
                            .drum = mr_spread_text(s, MR_M_DRUM),
                            .lot = mr_spread_text(s, MR_M_LOT),
                            .note = mr_spread_text(s, MR_M_NOTE),
                            .unit = MR_UNIT_L};
    if (got == MR_READ_BAD || got == MR_READ_ZONE)
        return MR_ASIDE_BAD_TIME;
    if (!s->cell[MR_M_PART])
        return MR_ASIDE_INCOMPLETE;
    const char *part = mr_words_fold(state->scratch, s->cell[MR_M_PART]->p, s->cell[MR_M_PART]->n);
    bool is_a = mr_list_holds(mr_map_list(state->plan->map, "parts.a"), part, true);
    bool is_b = mr_list_holds(mr_map_list(state->plan->map, "parts.b"), part, true);
    if (is_a == is_b) {
        mr_spread_say(s, MR_ASIDE_INCOMPLETE, MR_M_PART, "Write A or B. Row set aside.",
                      "is neither part A nor part B");
        return MR_ASIDE_INCOMPLETE;
    }
    r.part = is_a ? 'A' : 'B';
    int bad = MR_FATE_USED;
    enum mr_unit before = MR_UNIT_L, after = MR_UNIT_L;
    bool has_before = level(s, MR_M_BEFORE, &r.before, &before, &bad),
         has_after = level(s, MR_M_AFTER, &r.after, &after, &bad);
    if (bad != MR_FATE_USED)
        return bad;
    if (!has_before && !has_after)
        return MR_ASIDE_NO_VALUE;
    if (has_before && has_after && before != after) {
        mr_spread_say(s, MR_ASIDE_NO_UNIT, MR_M_AFTER,
                      "Write both levels as volumes or both as masses. Row set aside.",
                      "and the other level are not both volumes or both masses");
        return MR_ASIDE_NO_UNIT;
    }
    r.unit = has_before ? before : after;
    const struct mr_lot_days days = mr_take_lot_days(s);
    r.shelf_ms = days.shelf_a;
    r.shelf_unread = days.unread;
    r.from_ms = days.from_a;
    r.removes = mr_says_removed(state->scratch, r.note, true);
    MR_PUSH(state->scratch, &state->records.materials, r);
    return MR_FATE_USED;
}

/* A limit of the film; one that cannot be read is still one. */
static double film_limit(const struct mr_spread *s, enum mr_meaning m, bool *unread) {
    int bad = MR_FATE_USED;
    const double um = figure(s, m, &bad);
    const char *text = mr_spread_text(s, m);
    *unread |= bad != MR_FATE_USED || (isnan(um) && strcspn(text, "0123456789") < strlen(text));
    return um;
}

int mr_record_zone(const struct mr_spread *s) {
    struct mr_file_state *state = s->state;
    int bad = MR_FATE_USED;
    struct mr_zone_row r = {.file = state->index,
                            .line = s->row->line,
                            .column = s->cell[MR_M_ZONE] ? (uint32_t)(s->cell[MR_M_ZONE] - s->row->cell) + 1 : 0,
                            .name = mr_spread_text(s, MR_M_ZONE),
                            .aliases = mr_spread_text(s, MR_M_ALIASES),
                            .substrate = mr_spread_text(s, MR_M_SUBSTRATE),
                            .grade = mr_spread_text(s, MR_M_GRADE),
                            .spec = mr_spread_text(s, MR_M_SPEC)};
    if (!*r.name) {
        mr_spread_say(s, MR_ASIDE_NO_ZONE, MR_M_ZONE, "Write the zone's name. Row set aside.", "the row has no zone");
        return MR_ASIDE_NO_ZONE;
    }
    r.area_m2 = figure(s, MR_M_AREA, &bad);
    r.steel_mm = figure(s, MR_M_STEEL_MM, &bad);
    r.profile_um = figure(s, MR_M_PROFILE, &bad);
    r.member_mm = figure(s, MR_M_MEMBER, &bad);
    double coats = figure(s, MR_M_COATS, &bad);
    if (bad != MR_FATE_USED)
        return bad;
    r.coats = coats >= 1 && coats < 1000 ? (int)coats : 0;
    r.least_film_um = film_limit(s, MR_M_LEAST_FILM, &r.film_unread);
    r.most_film_um = film_limit(s, MR_M_MOST_FILM, &r.film_unread);
    mr_take_asks(s, &r);
    MR_PUSH(state->scratch, &state->records.zones, r);
    return MR_FATE_USED;
}
