/*
 * Laws of whole jobs on what stands beside the values.
 *
 *   words beside    a column that says that the values are none, or says what nobody knows, never conforms; one that
 *                   says that all is well changes nothing
 *   other place     a log whose rows or preamble name another zone, or a place that nobody knows, proves nothing
 *   two units       a unit above the table that contradicts the heading's never conforms; the same unit changes
 * nothing taken back      samples in a row that a mark takes back leave the zone open
 *
 * The laws are the project's own.
 */
#include "random_job.h"

static const char *pair_text(const char *const *pair) {
    static char text[100];
    snprintf(text, sizeof text, "%s: %s", pair[0], pair[1]);
    return text;
}

/* A column of a random table with one text in each row, or only from one row to another. */
static void add_column(struct whole_job *j, const char *heading, const char *cell, bool whole) {
    struct table *t = &j->file[pick(j, ZONES)];
    const size_t from = whole ? 1 : 1 + pick(j, t->rows - 1), to = whole ? t->rows : from + 1 + pick(j, 4);
    const size_t at = pick(j, t->columns + 1);
    for (size_t i = 0; i < t->rows; i++) {
        memmove(t->cell[i][at + 1], t->cell[i][at], (t->columns - at) * CELL);
        snprintf(t->cell[i][at], CELL, "%s", !i ? heading : i >= from && i < to ? cell : "");
    }
    memmove(&t->needed[at + 1], &t->needed[at], (t->columns - at) * sizeof t->needed[0]);
    t->needed[at] = false;
    t->columns++;
}

static const char *const bad[][2] = {{"Valid", "no"},
                                     {"Valid", "0"},
                                     {"OK?", "n"},
                                     {"Accepted", "zorb"},
                                     {"Excluded", "1"},
                                     {"Ignore", "x"},
                                     {"Error", "1"},
                                     {"Error", "E4"},
                                     {"Simulated", "yes"},
                                     {"Flag", "*"},
                                     {"Estimated", "true"},
                                     {"Quality", "bad"},
                                     {"Status", "cancelled"},
                                     {"Status", "zorb"},
                                     {"Sensor status", "sensor error"},
                                     {"Mode", "demo"},
                                     {"Source", "forecast"},
                                     {"Data type", "interpolated"},
                                     {"Remark", "test plate trial"},
                                     {"Remark", "practice on a panel"},
                                     {"Note", "not measured"},
                                     {"Comment", "made up"},
                                     {"Project", "Riverside Mill"},
                                     {"Job", "Harbour crane"},
                                     {"Calibration", "expired"},
                                     {"Memo", "dummy rows"}};
static const char *const good[][2] = {
    {"Valid", "yes"}, {"Valid", "1"},       {"OK?", "y"},     {"Excluded", "0"},       {"Error", "none"},
    {"Flag", "0"},    {"Quality", "good"},  {"Status", "ok"}, {"Alarm", "no"},         {"Remark", "near the weld"},
    {"Remark", "-"},  {"Weather", "cloud"}, {"Job", "x"},     {"Note", "second crew"}, {"Battery [V]", "3.7"},
    {"Status", ""},   {"Deleted", ""},      {"Error", "0"},   {"Calibration", "valid"}};

Test(prop_words, words_beside_the_values_are_heard, .timeout = 120) {
    struct law heard = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct whole_job *j = draw(seed + 500000);
        const enum mr_outcome before = verdict(j);
        const size_t k = pick(j, MR_COUNT(bad));
        const bool some = pick(j, 2) == 0; /* of some rows it must not hide what they show */
        add_column(j, bad[k][0], bad[k][1], !some);
        enum mr_outcome after = verdict(j);
        count(&heard, seed, pair_text(bad[k]), before, after,
              after <= MR_CONFORMS && (!some || before > MR_CONFORMS));
        j = draw(seed + 500000);
        const size_t g = pick(j, MR_COUNT(good));
        add_column(j, good[g][0], good[g][1], true);
        after = verdict(j);
        count(&quiet, seed, pair_text(good[g]), before, after, after != before);
    }
    tell("words against the values", &heard);
    tell("words for the values", &quiet);
}

/* The headings under which a log says where each row was measured, and preamble lines. */
Test(prop_words, a_log_of_another_place_proves_nothing, .timeout = 120) {
    static const char *const headings[] = {"Zone", "zone", "Location", "Place", "Area", "Member", "Bereich", "Zona"};
    static const char *const places[] = {"Hull", "Tank 4", "Deck 2", "Pier 9", "Zone 7", "not the deck"};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct whole_job *j = draw(seed + 600000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[pick(j, 2) ? CLIMATE : LINES];
        if (pick(j, 2)) /* a zone that the register knows; else one that nobody does */
            snprintf(j->file[ZONES].cell[j->file[ZONES].rows++][0], CELL, "%s", "Hull");
        const char *heading = headings[pick(j, MR_COUNT(headings))], *place = places[pick(j, MR_COUNT(places))];
        for (size_t i = 0; i < t->rows; i++)
            snprintf(t->cell[i][t->columns], CELL, "%s", i ? place : heading);
        t->columns++;
        const enum mr_outcome after = verdict(j);
        count(&law, seed, place, before, after, after <= MR_CONFORMS);
    }
    tell("a log of another place", &law);
}

/* Two samples or more in a row within the coat's time; three of them may be just those that fail. */
Test(prop_words, samples_in_a_row_taken_back_leave_a_zone_open, .timeout = 120) {
    static const char *const marks[][2] = {
        {"Valid", "no"}, {"Excluded", "1"}, {"Status", "sensor error"},   {"Quality", "bad"}, {"Simulated", "yes"},
        {"Ignore", "x"}, {"Error", "E4"},   {"Data type", "interpolated"}};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct whole_job *j = draw(seed + 700000);
        const enum mr_outcome before = verdict(j);
        const bool lines = pick(j, 3) == 0;
        struct table *t = &j->file[lines ? LINES : CLIMATE];
        const size_t first = lines ? 10 + pick(j, 100) : 50 / j->step_min + 2 + pick(j, 45 / j->step_min);
        const size_t from = lines || pick(j, 2) ? first : j->out_from < 50 / j->step_min + 2 ? first : j->out_from;
        const size_t k = pick(j, MR_COUNT(marks)), to = from + 2 + pick(j, 2);
        for (size_t i = 0; i < t->rows; i++)
            snprintf(t->cell[i][t->columns], CELL, "%s", !i ? marks[k][0] : i >= from && i < to ? marks[k][1] : "");
        t->columns++;
        const enum mr_outcome after = verdict(j);
        count(&law, seed, marks[k][0], before, after, after <= MR_CONFORMS);
    }
    tell("samples taken back", &law);
}

Test(prop_words, a_unit_above_the_table_that_contradicts_its_heading_never_conforms, .timeout = 120) {
    static const char *const names[] = {"Units", "Unit", "Unit of measure", "Display units", "Measurement unit"};
    static const char *const same[] = {"degC", "um", "kPa"}, *const others[][3] = {{"degF", "K", "F"},
                                                                                   {"mil", "mm", "mils"},
                                                                                   {"psi", "bar", "MPa"}};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= JOBS; seed++)
        for (int contradicts = 0; contradicts < 2; contradicts++) {
            struct whole_job *j = draw(seed + 800000);
            const enum mr_outcome before = verdict(j);
            const size_t k = pick(j, 3), name = pick(j, MR_COUNT(names)), other = pick(j, 3);
            static char above[80];
            snprintf(above, sizeof above, "%s: %s\n", names[name], contradicts ? others[k][other] : same[k]);
            j->file[k == 0 ? CLIMATE : k == 1 ? FILM : LINES].above = above;
            const enum mr_outcome after = verdict(j);
            count(contradicts ? &law : &quiet, seed, above, before, after,
                  contradicts ? after <= MR_CONFORMS : after != before);
        }
    tell("two units", &law);
    tell("one unit, said twice", &quiet);
}
