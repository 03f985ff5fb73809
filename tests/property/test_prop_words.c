/*
 * Laws of whole jobs on what stands beside the values.
 *
 *   words beside    a column that says that the values are none, or says what nobody knows, never conforms; one that
 *                   says that all is well changes nothing
 *   other place     a log whose rows or preamble name another zone, or a place that nobody knows, proves nothing
 *   two units       a unit above the table that contradicts the heading's never conforms; the same one changes
 *                   nothing
 *   taken back      samples in a row that a mark takes back leave the zone open
 *   named after     a log whose file is named after another place, and a coat of another material, prove nothing
 *   run out         an instrument whose file says that its calibration had run out proves nothing
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
                                     {"Cal", "fail"},
                                     {"Calibrated", "no"},
                                     {"Verified", "not passed"},
                                     {"Remark", "not cured"},
                                     {"Note", "wrong zone"},
                                     {"Comment", "from last year"},
                                     {"Remark", "Previsioni"},
                                     {"Note", "prognoza"},
                                     {"Memo", "dummy rows"}};
static const char *const good[][2] = {{"Valid", "yes"},
                                      {"Valid", "1"},
                                      {"OK?", "y"},
                                      {"Excluded", "0"},
                                      {"Error", "none"},
                                      {"Flag", "0"},
                                      {"Quality", "good"},
                                      {"Status", "ok"},
                                      {"Alarm", "no"},
                                      {"Remark", "near the weld"},
                                      {"Remark", "cured overnight"},
                                      {"Remark", "-"},
                                      {"Weather", "cloud"},
                                      {"Job", "x"},
                                      {"Note", "second crew"},
                                      {"Battery [V]", "3.7"},
                                      {"Status", ""},
                                      {"Deleted", ""},
                                      {"Error", "0"},
                                      {"Calibration", "valid"},
                                      {"Calibrated", "yes"},
                                      {"Cal", "ok"},
                                      {"Verified", "2026-05-02"}};

Test(prop_words, words_beside_the_values_are_heard, .timeout = 600) {
    struct law heard = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
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
Test(prop_words, a_log_of_another_place_proves_nothing, .timeout = 600) {
    static const char *const headings[] = {"Zone", "zone", "Location", "Place", "Area", "Member", "Bereich", "Zona"};
    static const char *const places[] = {"Hull", "Tank 4", "Deck 2", "Pier 9", "Zone 7", "not the deck"};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
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
Test(prop_words, samples_in_a_row_taken_back_leave_a_zone_open, .timeout = 600) {
    static const char *const marks[][2] = {
        {"Valid", "no"}, {"Excluded", "1"}, {"Status", "sensor error"},   {"Quality", "bad"}, {"Simulated", "yes"},
        {"Ignore", "x"}, {"Error", "E4"},   {"Data type", "interpolated"}};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
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

Test(prop_words, a_unit_above_the_table_that_contradicts_its_heading_never_conforms, .timeout = 600) {
    static const char *const names[] = {"Units", "Unit", "Unit of measure", "Display units", "Measurement unit"};
    static const char *const titles[][3] = {
        {"All temperatures", "Temperatur", "Readings are"}, /* in this and the next: a line that is no pair */
        {"All readings", "Messwerte", "Thickness readings given"},
        {"Pressures", "All values", "Measured values"}};
    static const char *const same[] = {"degC", "um", "kPa"}, *const others[][3] = {{"degF", "K", "F"},
                                                                                   {"mil", "mm", "mils"},
                                                                                   {"psi", "bar", "MPa"}};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int contradicts = 0; contradicts < 2; contradicts++) {
            struct whole_job *j = draw(seed + 800000);
            const enum mr_outcome before = verdict(j);
            const size_t k = pick(j, 3), name = pick(j, MR_COUNT(names) + 1), other = pick(j, 3);
            static char above[80];
            const char *unit = contradicts ? others[k][other] : same[k];
            if (name == MR_COUNT(names)) /* as a sentence */
                snprintf(above, sizeof above, "%s in %s\n", titles[k][pick(j, 3)], unit);
            else
                snprintf(above, sizeof above, "%s: %s\n", names[name], unit);
            j->file[k == 0 ? CLIMATE : k == 1 ? FILM : LINES].above = above;
            const enum mr_outcome after = verdict(j);
            count(contradicts ? &law : &quiet, seed, above, before, after,
                  contradicts ? after <= MR_CONFORMS : after != before);
        }
    tell("two units", &law);
    tell("one unit, said twice", &quiet);
}

/* Whatever the draws, the outcome before is that of the job with a second zone in its register. */
static struct whole_job *draw_beside_hull(uint64_t seed) {
    struct whole_job *j = draw(seed);
    struct table *zones = &j->file[ZONES];
    snprintf(zones->cell[zones->rows++][0], CELL, "%s", "Hull");
    return j;
}

Test(prop_words, a_log_named_after_another_place_proves_nothing, .timeout = 600) {
    static const char *const paths[] = {
        "office.csv",       "climate store.csv", "site lab/climate.csv", "HY1 zone 7.csv", "climate Hull.csv",
        "Hull/climate.csv", "Lager Klima.csv",   "van climate.csv",      "test bench.csv", "spare hygrometer.csv"};
    static const char *const own[] = {"climate Deck.csv", "Deck/HY1.csv",       "zone D1 climate.csv",
                                      "week 19.csv",      "night shift RH.csv", "climate time zone UTC.csv"};
    static const char *const of_pump[] = {"test bench pressures.csv", "pressures spare pump.csv", "lab/pressures.csv",
                                          "Hull pressures.csv", "pressures workbench.csv"};
    static const char *const own_of_pump[] = {"pump 2 pressures.csv", "van/pressures.csv", "Deck pressures.csv",
                                              "trailer pump.csv", "pressures night crew.csv"};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw_beside_hull(seed + 900000);
        const enum mr_outcome before = verdict(j);
        const char *path = j->file[CLIMATE].path = paths[pick(j, MR_COUNT(paths))];
        enum mr_outcome after = verdict(j);
        count(&law, seed, path, before, after, after <= MR_CONFORMS);
        j->file[CLIMATE].path = "climate.csv";
        path = j->file[LINES].path = of_pump[pick(j, MR_COUNT(of_pump))];
        after = verdict(j);
        count(&law, seed, path, before, after, after <= MR_CONFORMS);
        path = j->file[LINES].path = own_of_pump[pick(j, MR_COUNT(own_of_pump))];
        after = verdict(j);
        count(&quiet, seed, path, before, after, after != before);
        j->file[LINES].path = "pressures.csv";
        path = j->file[CLIMATE].path = own[pick(j, MR_COUNT(own))];
        after = verdict(j);
        count(&quiet, seed, path, before, after, after != before);
    }
    tell("a log named after another place", &law);
    tell("a log named after its own place, or after none", &quiet);
}

Test(prop_words, a_coat_of_another_material_proves_nothing, .timeout = 600) {
    static const char *const actions[] = {"primer applied", "sprayed primer", "stripe coat",
                                          "mist coat",      "spray?",         "spray panel",
                                          "zinc coating",   "applied paint",  "top coat of urethane"};
    static const char *const own[] = {"Spraying", "coat 1", "Sprayed Deck", "first coat", "coat applied 2 passes"};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 950000);
        const enum mr_outcome before = verdict(j);
        char *action = j->file[SPRAY].cell[1][1];
        snprintf(action, CELL, "%s", own[pick(j, MR_COUNT(own))]);
        enum mr_outcome after = verdict(j);
        count(&quiet, seed, action, before, after, after != before);
        snprintf(action, CELL, "%s", actions[pick(j, MR_COUNT(actions))]);
        if (pick(j, 2)) { /* a further row, beside the coat that was sprayed: the film may no longer be what was
                             measured */
            struct table *t = &j->file[SPRAY];
            memcpy(t->cell[t->rows++], t->cell[1], sizeof t->cell[1]);
            snprintf(t->cell[1][1], CELL, "spray");
            snprintf(t->cell[2][0], CELL, "2026-05-13");
        }
        after = verdict(j);
        count(&law, seed, action, before, after, after <= MR_CONFORMS);
    }
    tell("a coat of another material", &law);
    tell("a coat in other words", &quiet);
}

Test(prop_words, an_instrument_whose_calibration_had_run_out_proves_nothing, .timeout = 600) {
    static const char *const past[] = {"Calibration due: 2026-05-10\n", "Cal due,2025-12-31\n",
                                       "Next calibration: 31 Jan 2026\n", "Kalibriert bis: 31.12.2025\n"};
    static const char *const in_date[] = {"Calibration due: 2026-05-12\n", "Cal due,2027-12-31\n",
                                          "Next calibration: 31 Jan 2027\n", "Calibration date: 2025-05-02\n"};
    static const char *const headings[] = {"Calibration due", "Certified until", "Kalibriert bis", "Cal due"};
    static const size_t files[] = {CLIMATE, FILM, LINES}, columns_in[] = {CLIMATE, FILM, LINES, CHECKS};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 990000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[files[pick(j, 3)]];
        t->above = past[pick(j, MR_COUNT(past))];
        enum mr_outcome after = verdict(j);
        count(&law, seed, t->above, before, after, after <= MR_CONFORMS);
        t->above = in_date[pick(j, MR_COUNT(in_date))];
        after = verdict(j);
        count(&quiet, seed, t->above, before, after, after != before);
        t->above = NULL;
        t = &j->file[columns_in[pick(j, MR_COUNT(columns_in))]];
        for (size_t i = 0; i < t->rows; i++)
            snprintf(t->cell[i][t->columns], CELL, "%s", i ? "2026-05-09" : headings[seed % MR_COUNT(headings)]);
        t->columns++;
        after = verdict(j);
        count(&law, seed, "a column", before, after, after <= MR_CONFORMS);
        for (size_t i = 1; i < t->rows; i++)
            snprintf(t->cell[i][t->columns - 1], CELL, "2027-05-09");
        after = verdict(j);
        count(&quiet, seed, "a column", before, after, after != before);
    }
    tell("calibration that had run out", &law);
    tell("calibration in date", &quiet);
}

/* Shims are certified in um, and the gauge is set to mil, or the other way round. */
static void write_checks(struct whole_job *j, const char *const *unit, double certified_per_um,
                         double reading_per_um) {
    struct table *t = &j->file[CHECKS];
    snprintf(t->cell[0][3], CELL, "Certified value (%s)", unit[0]);
    snprintf(t->cell[0][4], CELL, "Reading (%s)", unit[1]);
    for (size_t i = 1; i < t->rows; i++) {
        snprintf(t->cell[i][3], CELL, "%.4f", strtod(t->cell[i][3], NULL) * certified_per_um);
        snprintf(t->cell[i][4], CELL, "%.4f", strtod(t->cell[i][4], NULL) * reading_per_um);
    }
}

Test(prop_words, a_verification_may_have_a_unit_on_each_side, .timeout = 600) {
    static const struct {
        const char *name;
        double per_um;
    } units[] = {{"um", 1}, {"mil", 1 / 25.4}, {"mm", 1e-3}};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1300000);
        const enum mr_outcome before = verdict(j);
        const size_t c = pick(j, 3), r = pick(j, 3), wrong = (r + 1 + pick(j, 2)) % 3;
        const char *const right_names[] = {units[c].name, units[r].name};
        const char *const wrong_names[] = {units[c].name, units[wrong].name};
        write_checks(j, right_names, units[c].per_um, units[r].per_um);
        enum mr_outcome after = verdict(j);
        count(&quiet, seed, units[r].name, before, after, after != before);
        j = draw(seed + 1300000);
        write_checks(j, wrong_names, units[c].per_um, units[r].per_um);
        after = verdict(j);
        count(&law, seed, units[wrong].name, before, after, after <= MR_CONFORMS);
        static const char *const of_no_film[] = {"nm", "kN", "mV", "counts"};
        j = draw(seed + 1300000);
        const char *unknown = of_no_film[pick(j, MR_COUNT(of_no_film))];
        snprintf(j->file[CHECKS].cell[0][3], CELL, "Certified value (%s)", unknown);
        after = verdict(j);
        count(&law, seed, unknown, before, after, after <= MR_CONFORMS);
    }
    tell("a verification whose readings are of another unit", &law);
    tell("a verification in two units", &quiet);
}
