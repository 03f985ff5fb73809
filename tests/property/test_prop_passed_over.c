/*
 * Laws of whole jobs: what an export says beside, between or before the rows that look right is not passed over. They
 * are the project's own. A zone never conforms
 *
 * - by rows at the time of others that show a limit missed; the same rows again change nothing;
 * - by a coat for most of which the lines stood without pressure, or that its log says was left undone;
 * - by a survey that began thin and lacks readings, before a whole one without a repair; one that began well changes
 *   nothing;
 * - by a coat in whose time a cell of the log objects to the values beside it; cells that agree change nothing;
 * - by a reading or a coat of which something is said that is no good; words that deny it change nothing;
 * - by a time in which the climate's sensor stands still, jumps away and back, falls silent, or shows what no site
 * has;
 * - by a column of climate or lines that was set aside, whatever the others show;
 * - without the report giving to a person what its files say in words that no rule judges.
 */
#include "random_job.h"

/* Rows [from, to) once more, each behind itself. */
static void double_rows(struct table *t, size_t from, size_t to) {
    for (size_t i = to; i-- > from;) {
        memmove(t->cell[i + 2], t->cell[i + 1], (t->rows - i - 1) * sizeof t->cell[0]);
        memcpy(t->cell[i + 1], t->cell[i], sizeof t->cell[0]);
        t->rows++;
    }
}

/* In the window: 07:50 to 08:40, of a log that begins at 07:00. */
Test(prop_passed_over, second_rows_of_a_time_that_miss_a_limit_never_conform, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2100000);
        const enum mr_outcome before = verdict(j);
        const bool pressures = pick(j, 3) == 0;
        struct table *t = &j->file[pressures ? LINES : CLIMATE];
        const size_t from = pressures ? 20 + pick(j, 60) : (55 + pick(j, 10)) / j->step_min + 1,
                     n = pressures ? 20 : 4;
        const size_t column = pressures ? 1 + pick(j, 2) : 2 + pick(j, 2);
        double_rows(t, from, from + n);
        for (size_t i = 0; i < n; i++)
            snprintf(t->cell[from + 2 * i + 1][column], CELL, "%s", pressures ? "300" : column == 2 ? "96.0" : "9.0");
        const enum mr_outcome after = verdict(j);
        count(&law, seed, t->cell[0][column], before, after, after <= MR_CONFORMS);
    }
    tell("second rows of a time", &law);
}

Test(prop_passed_over, rows_written_twice_change_nothing, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2200000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[pick(j, 2) ? LINES : CLIMATE];
        const size_t from = 1 + pick(j, t->rows - 12);
        double_rows(t, from, from + 1 + pick(j, 10));
        const enum mr_outcome after = verdict(j);
        count(&law, seed, t->path, before, after, after != before);
    }
    tell("rows written twice", &law);
}

/* The coat is rows 3 to 122 of the log, of five seconds each. */
Test(prop_passed_over, a_coat_without_pressure_never_conforms, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2300000);
        const enum mr_outcome before = verdict(j);
        const size_t n = 66 + pick(j, 50), from = 3 + pick(j, 120 - n);
        const bool main_too = pick(j, 2) == 0;
        for (size_t i = from; i < from + n; i++)
            for (size_t c = 1; c < (main_too ? 4 : 3); c++)
                snprintf(j->file[LINES].cell[i][c], CELL, "0");
        const enum mr_outcome after = verdict(j);
        count(&law, seed, main_too ? "main too" : "lines", before, after, after <= MR_CONFORMS);
    }
    tell("no pressure", &law);
}

/* Some spots of the first areas, some readings of each, between the check of the gauge and the survey. */
static void begin_survey(struct whole_job *j, size_t um) {
    struct table *t = &j->file[FILM];
    const size_t areas = 1 + pick(j, 2), spots = 1 + pick(j, 4), readings = 1 + pick(j, 2);
    size_t n = 0;
    for (size_t a = 1; a <= areas; a++)
        for (size_t s = 1; s <= spots; s++)
            for (size_t k = 0; k < readings; k++, n++) {
                char(*row)[CELL] = t->cell[t->rows];
                memcpy(row, t->cell[1], sizeof t->cell[0]);
                snprintf(row[1], CELL, "08:%02zu:%02zu", 7 * n / 60, 7 * n % 60);
                snprintf(row[3], CELL, "%zu", a);
                snprintf(row[4], CELL, "%zu", s);
                snprintf(row[5], CELL, "%zu", um + pick(j, 20));
                t->rows++;
            }
}

Test(prop_passed_over, a_thin_start_is_not_undone_by_a_whole_survey, .timeout = 600) {
    struct law law = {0}, good = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        for (int thin = 0; thin < 2; thin++) {
            struct whole_job *j = draw(seed + 2400000);
            const enum mr_outcome before = verdict(j);
            begin_survey(j, thin ? 120 : 240);
            const enum mr_outcome after = verdict(j);
            count(thin ? &law : &good, seed, "begun before", before, after,
                  thin ? after <= MR_CONFORMS : after != before);
        }
    }
    tell("a thin start", &law);
    tell("a good start", &good);
}

Test(prop_passed_over, a_coat_left_undone_never_conforms, .timeout = 600) {
    static const struct {
        const char *heading, *word;
    } words[] = {{"Note", "not done"},
                 {"Note", "postponed - rain"},
                 {"Remarks", "did not happen"},
                 {"Note", "aborted"},
                 {"Note", "not completed"},
                 {"Bemerkung", "nicht durchgeführt"},
                 {"Done", "no"},
                 {"Completed", "0"},
                 {"Work done", "n"},
                 {"Note", "no time, on hold"},
                 {"Note", "to be done Tuesday"},
                 {"Erledigt", "nein"}};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2500000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[SPRAY];
        const size_t w = pick(j, MR_COUNT(words));
        snprintf(t->cell[0][t->columns], CELL, "%s", words[w].heading);
        snprintf(t->cell[1][t->columns++], CELL, strchr(words[w].word, ',') ? "\"%s\"" : "%s", words[w].word);
        const enum mr_outcome after = verdict(j);
        count(&law, seed, words[w].word, before, after, after <= MR_CONFORMS);
    }
    tell("a coat left undone", &law);
}

struct aside {
    int file;
    const char *heading, *good, *bad;
};

/* Beside the climate and the lines; the job's limits are 85 % and a spread of 3 K. */
static const struct aside asides[] = {{CLIMATE, "Alarm", "none", "HIGH RH"},
                                      {CLIMATE, "Alarms", "0", "1"},
                                      {CLIMATE, "OK to paint", "yes", "no"},
                                      {CLIMATE, "Go/No-go", "go", "NO-GO"},
                                      {CLIMATE, "Result", "pass", "FAIL"},
                                      {CLIMATE, "Freigabe", "ja", "nein"},
                                      {CLIMATE, "Condensation", "no", "yes"},
                                      {CLIMATE, "Regen", "nein", "ja"},
                                      {CLIMATE, "RH max [%]", "66", "96"},
                                      {CLIMATE, "RH raw (%)", "60.0", "88.5"},
                                      {CLIMATE, "RH 10 min [%]", "60", "93"},
                                      {CLIMATE, "Td min [degC]", "9.0", "19.5"},
                                      {CLIMATE, "Dew point depression [K]", "8.0", "1.0"},
                                      {CLIMATE, "T-Td [K]", "8.0", "1.0"},
                                      {CLIMATE, "Taupunktunterschreitung", "nein", "ja"},
                                      {CLIMATE, "Spread [K]", "8.5", "1.5"},
                                      {CLIMATE, "Ts-Td [°F]", "15.0", "4.0"},
                                      {CLIMATE, "Taupunktabstand", "8.0", "2.0"},
                                      {CLIMATE, "TD", "11.0", "26.0"},
                                      {CLIMATE, "Wet bulb [°C]", "15.0", "19.9"},
                                      {CLIMATE, "Comment on air", "fine", "do not paint"},
                                      {LINES, "Alarm", "", "LOW A"},
                                      {LINES, "Warning", "no", "yes"},
                                      {LINES, "Off-ratio", "0", "1"},
                                      {LINES, "Ratio", "1.02", "1.30"},
                                      {LINES, "Mix ratio A:B", "1.01:1", "0.80:1"},
                                      {LINES, "Mischungsverhältnis [%]", "99", "124"},
                                      {LINES, "Min A", "598", "90"},
                                      {LINES, "Max line B", "610", "1400"},
                                      {LINES, "Imbalance [%]", "1", "24"},
                                      {LINES, "Recirculating", "no", "yes"},
                                      {CLIMATE, "Steel wet", "no", "yes"},
                                      {CLIMATE, "Dew on steel", "no", "yes"},
                                      {CLIMATE, "Taupunkt erreicht", "nein", "ja"},
                                      {CLIMATE, "Battery low", "no", "yes"},
                                      {LINES, "State", "spray", "park"},
                                      {LINES, "Pumps", "on", "off"}};

/* A column whose cells say the one thing in the coat, from 08:00 to 08:10, and the other besides. */
static void set_beside(struct whole_job *j, const struct aside *s, const char *in_coat) {
    struct table *t = &j->file[s->file];
    snprintf(t->cell[0][t->columns], CELL, "%s", s->heading);
    for (size_t i = 1; i < t->rows; i++) {
        const char *clock = strchr(t->cell[i][0], ' ');
        const bool coat = clock && strncmp(clock + 1, "08:00", 5) >= 0 && strncmp(clock + 1, "08:11", 5) < 0;
        snprintf(t->cell[i][t->columns], CELL, "%s", coat ? in_coat : s->good);
    }
    t->columns++;
}

Test(prop_passed_over, a_cell_that_objects_in_the_coat_never_conforms, .timeout = 600) {
    struct law law = {0}, good = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2600000);
        const struct aside *s = &asides[pick(j, MR_COUNT(asides))];
        const enum mr_outcome before = verdict(j);
        set_beside(j, s, s->bad);
        const enum mr_outcome after = verdict(j);
        j = draw(seed + 2600000);
        const bool rival =
            strcmp(s->heading, "TD") == 0 && j->file[CLIMATE].columns > 4; /* a second dew point asks */
        set_beside(j, s, s->good);
        const enum mr_outcome unmoved = verdict(j);
        count(&law, seed, s->heading, before, after, after <= MR_CONFORMS || after < before);
        count(&good, seed, s->heading, before, unmoved, unmoved != before && !rival);
    }
    tell("a cell objects", &law);
    tell("a cell agrees", &good);
}

/* From 07:45 to 08:45, which holds the coat with its lead and its curing: air that leaps by 50 K and comes back, a
 * humidity that stands still, air far from the steel through the whole log. */
Test(prop_passed_over, a_sensor_that_cannot_be_right_never_conforms, .timeout = 600) {
    static const char *const what[] = {"jump", "stuck", "apart", "lost", "dry", "twins"};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2700000);
        struct table *t = &j->file[CLIMATE];
        const enum mr_outcome before = verdict(j);
        const size_t how = j->step_min == 1 ? pick(j, 6) : 2 + 2 * pick(j, 2);
        const size_t lost =
            t->columns > 4 ? 2 + pick(j, 2) : 1 + pick(j, 3); /* air: no need of it beside a dew point */
        for (size_t i = 1; i < t->rows; i++) {
            const bool then =
                strcmp(t->cell[i][0], "2026-05-11 07:45:00") >= 0 && strcmp(t->cell[i][0], "2026-05-11 08:45:00") < 0;
            if (how == 0 && then)
                snprintf(t->cell[i][1], CELL, "-30.0");
            if (how == 1 && then)
                snprintf(t->cell[i][2], CELL, "57.3");
            if (how == 2)
                snprintf(t->cell[i][1], CELL, "-25.0");
            if (how == 3 && strcmp(t->cell[i][0], "2026-05-11 07:59:30") >= 0 &&
                strcmp(t->cell[i][0], "2026-05-11 08:09:30") < 0)
                snprintf(t->cell[i][lost], CELL, "---");
            if (how == 5) {
                snprintf(t->cell[i][1], CELL, "%zu.%zu", 20 + pick(j, 2), pick(j, 10));
                memcpy(t->cell[i][3], t->cell[i][1], CELL);
            }
            if (how == 4)
                snprintf(t->cell[i][2], CELL, "%zu.%zu", 1 + pick(j, 3), pick(j, 10));
        }
        const enum mr_outcome after = verdict(j);
        count(&law, seed, what[how], before, after, after <= MR_CONFORMS);
    }
    tell("a sensor that cannot be right", &law);
}

/* A second column of the same heading, or one in a unit that nobody knows: set aside, and perhaps the one that fails.
 */
Test(prop_passed_over, a_column_that_was_set_aside_never_conforms, .timeout = 600) {
    static const struct {
        size_t file;
        const char *heading;
    } more[] = {{CLIMATE, "RH [%]"},       {CLIMATE, "Steel temp [degC]"}, {CLIMATE, "Air temp [degC]"},
                {CLIMATE, "Steel [degX]"}, {LINES, "Line A (kPa)"},        {LINES, "Line B (kPa)"}};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 3000000);
        const enum mr_outcome before = verdict(j);
        const size_t k = pick(j, MR_COUNT(more));
        struct table *t = &j->file[more[k].file];
        for (size_t i = 0; i < t->rows; i++)
            snprintf(t->cell[i][t->columns], CELL, "%s%zu", i ? "" : more[k].heading, i ? 10 + pick(j, 9) : 0);
        snprintf(t->cell[0][t->columns++], CELL, "%s", more[k].heading);
        const enum mr_outcome after = verdict(j);
        count(&law, seed, more[k].heading, before, after, after <= MR_CONFORMS);
    }
    tell("a column set aside", &law);
}

Test(prop_passed_over, a_defect_beside_a_reading_or_a_coat_never_conforms, .timeout = 600) {
    static const struct aside beside[] = {{FILM, "Visual", "no blisters", "blisters"},
                                          {FILM, "Holiday", "no", "yes"},
                                          {FILM, "Defects", "0", "3"},
                                          {FILM, "Note", "", "delaminated"},
                                          {FILM, "Bemerkung", "keine Risse", "Risse"},
                                          {FILM, "Remarques", "sans cloques", "cloques"},
                                          {FILM, "Includes primer", "no", "yes"},
                                          {FILM, "Disbonded", "no", "yes"},
                                          {FILM, "Not cured (Y/N)", "N", "Y"},
                                          {FILM, "Released", "1", "0"},
                                          {SPRAY, "Steel accepted", "yes", "no"},
                                          {SPRAY, "Flash rust", "no", "yes"},
                                          {SPRAY, "Ratio A:B", "1.01", "1.40"},
                                          {SPRAY, "RH [%]", "60", "96"},
                                          {SPRAY, "Spread [K]", "8", "1.5"},
                                          {SPRAY, "Note", "on ratio", "off ratio"},
                                          {SPRAY, "Note", "surface dry", "surface wet"},
                                          {SPRAY, "Note", "", "sprayed over dew"},
                                          {SPRAY, "Weather", "dry", "light rain"},
                                          {SPRAY, "Note", "rain stopped at 6", "rain started"},
                                          {SPRAY, "Bemerkung", "trocken", "Nebel"},
                                          {SPRAY, "Note", "5 K above dew point", "steel sweating"},
                                          {SPRAY, "Remarks", "drum changed", "wrong drum B"}};
    struct law law = {0}, good = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        enum mr_outcome before = MR_NOT_SHOWN, after[2];
        const struct aside *s = NULL;
        for (int bad = 0; bad < 2; bad++) {
            struct whole_job *j = draw(seed + 2800000);
            s = &beside[pick(j, MR_COUNT(beside))];
            struct table *t = &j->file[s->file];
            const size_t from = s->file == FILM ? 1 + pick(j, t->rows - 3) : 1, n = s->file == FILM ? 3 : 1;
            before = verdict(j);
            snprintf(t->cell[0][t->columns], CELL, "%s", s->heading);
            for (size_t i = 1; i < t->rows; i++)
                snprintf(t->cell[i][t->columns], CELL, "%s", bad && i >= from && i < from + n ? s->bad : s->good);
            t->columns++;
            after[bad] = verdict(j);
        }
        count(&law, seed, s->bad, before, after[1], after[1] <= MR_CONFORMS);
        count(&good, seed, s->good, before, after[0], after[0] != before);
    }
    tell("a defect", &law);
    tell("a defect denied", &good);
}

/* Made of letters that form no word of any list, or of plain words of the trade. */
static const char *drawn_words(struct whole_job *j, char *out, size_t size) {
    static const char *const plain[] = {"moved to the other tank",
                                        "see photo 12",
                                        "far side only",
                                        "shaded by the tower",
                                        "lamp on steel",
                                        "after lunch",
                                        "second gun",
                                        "scaffold bay 3",
                                        "hand held",
                                        "from the ladder",
                                        "visitor on site",
                                        "hose exchanged"};
    if (pick(j, 2) == 0) {
        snprintf(out, size, "%s", plain[pick(j, MR_COUNT(plain))]);
        return out;
    }
    size_t n = 0;
    for (size_t words = 1 + pick(j, 3); words > 0 && n + 10 < size; words--) {
        for (size_t letters = 5 + pick(j, 4); letters > 0; letters--)
            out[n++] = "bdghkqvxz"[pick(j, 9)];
        out[n++] = words > 1 ? ' ' : '\0';
    }
    return out;
}

Test(prop_passed_over, words_that_no_rule_judges_are_given_to_a_person, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2900000);
        char words[CELL], above[CELL + 20];
        size_t before_told, told;
        const enum mr_outcome before = verdict_telling(j, "words-unjudged", &before_told);
        struct table *t = &j->file[pick(j, FILES)];
        drawn_words(j, words, sizeof words);
        if (pick(j, 2) == 0) {
            snprintf(above, sizeof above, "%s%s\n", pick(j, 2) ? "Seen: " : "", words);
            t->above = above;
        } else {
            snprintf(t->cell[0][t->columns], CELL, "%s", pick(j, 2) ? "Note" : "Vqz");
            for (size_t i = 1; i < t->rows; i++)
                t->cell[i][t->columns][0] = '\0';
            snprintf(t->cell[1 + pick(j, t->rows - 1)][t->columns++], CELL, "%s", words);
        }
        const enum mr_outcome after = verdict_telling(j, "words-unjudged", &told);
        count(&law, seed, words, before, after, after <= MR_CONFORMS && told <= before_told);
    }
    tell("words to read", &law);
}
