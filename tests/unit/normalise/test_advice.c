/*
 * test_advice.c - what explain advises is complete: pasted into the job file, but for its question marks unchanged,
 * it settles the file. One case for each question that can be asked.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

struct advice_case {
    const char *name, *text, *answers[4]; /* for the question marks, in order */
    size_t used;                          /* rows after pasting */
};

#define TWO_FILM "D,1,210\nD,2,215\nD,3,220\n"

static const struct advice_case advice[] = {
    {"an unknown unit", "zone,spot,DFT (nm)\n" TWO_FILM, {NULL}, 3},
    {"no unit of pressure", "time,Line A,Line B\n2026-05-13 08:00,85,84\n2026-05-13 08:01,85,84\n", {NULL}, 2},
    {"two columns of film", "zone,spot,DFT um,Coating thickness um\nD,1,210,190\nD,2,215,195\n", {NULL}, 2},
    {"a film heading with a word nobody knows", "zone,spot,Thickness zorb um\n" TWO_FILM, {NULL}, 3},
    {"two columns of humidity",
     "time,Air °C,RH %,Humidity %\n2026-05-13 08:00,20,50,40\n2026-05-13 08:05,20,51,41\n",
     {NULL},
     2},
    {"a type nobody knows", "zone,spot,type,thickness um\nD,1,film,210\nD,1,Zorb,212\n", {NULL}, 2},
    {"a kind that little speaks for", "no,reading\n7,210\n9,215\n12,220\n", {NULL}, 3},
    {"a kind that nothing speaks for", "a1,b1\nx,1.5\ny,2.5\nz,7.5\n", {"thickness", "thickness", "um"}, 3},
    {"elapsed time without a start",
     "elapsed s,Air °C,RH %\n0,20,50\n10,21,51\n20,21,52\n",
     {"2026-05-13 08:00:00"},
     3},
    {"elapsed time without start and unit",
     "elapsed,Air °C,RH %\n0,20,50\n10,21,51\n20,21,52\n",
     {"2026-05-13 08:00:00"},
     3},
    {"clocks without a date", "time,Air °C,RH %\n08:00,20,50\n08:10,21,51\n08:20,21,52\n", {"2026-05-13"}, 3},
    {"sprays without a date", "zone,coat,start,stop\nD,1,08:00,08:20\nE,1,09:00,09:20\n", {"2026-05-13"}, 2},
    {"day and month", "time,Air °C,RH %\n03/04/2026 08:00,20,50\n03/04/2026 09:00,21,51\n", {NULL}, 2},
    {"thousands or fractions", "zone;spot;thickness um\nD;1;1,234\nD;2;1,235\n", {"comma"}, 2},
    {"a fraction called percent",
     "time,Air °C,RH %\n2026-05-13 08:00,20,0.51\n2026-05-13 08:05,20,0.52\n",
     {NULL},
     2},
};

static const char *answer_of(const struct advice_case *c, size_t *asked) {
    const char *answer = *asked < 4 ? c->answers[(*asked)++] : NULL;
    cr_expect(answer, "%s asks more than the case answers", c->name);
    return answer ? answer : "";
}

/* The lines of the advice become a rule of the job. */
static void paste(struct norm_rig *rig, const char *lines, const struct advice_case *c) {
    struct mr_file_rule *rule = norm_rule(rig, "a.csv");
    size_t asked = 0;
    for (const char *line = lines; *line;) {
        size_t n = strcspn(line, "\n");
        char *text = mr_strndup(rig->arena, line, n), *mark = strstr(text, " = ");
        line += n + (line[n] == '\n');
        if (*text == '#' || *text == '[' || !mark)
            continue;
        *mark = '\0';
        char *value = mark + 3;
        if (strncmp(text, "column ", 7) == 0) {
            char *open = strstr(value, " ["), *unit = open ? open + 2 : value + strlen(value);
            if (open) {
                *open = '\0';
                unit[strcspn(unit, "]")] = '\0';
            }
            const char *meaning = strcmp(value, "?") == 0 ? answer_of(c, &asked) : value;
            norm_rule_column(rig, rule, text + 7, meaning, strcmp(unit, "?") == 0 ? answer_of(c, &asked) : unit);
            continue;
        }
        const char *answer = strcmp(value, "?") == 0 ? answer_of(c, &asked) : value;
        if (strcmp(text, "kind") == 0)
            rule->kind = answer;
        else if (strcmp(text, "start") == 0)
            rule->start = answer;
        else if (strcmp(text, "dates") == 0)
            rule->dates = answer;
        else if (strcmp(text, "decimal") == 0)
            rule->decimal = answer;
        else
            cr_assert_fail("%s: no rule for \"%s\"", c->name, text);
    }
}

Test(advice, pasted_settles_the_file) {
    for (size_t i = 0; i < sizeof advice / sizeof advice[0]; i++) {
        struct norm_rig before, after;
        norm_begin(&before);
        norm_add(&before, "a.csv", advice[i].text, 0);
        norm_run(&before);
        const char *lines = before.data->files.v[0].mend;
        cr_expect(*lines, "%s asks nothing: %s", advice[i].name, norm_line(&before, 0));
        norm_begin(&after);
        paste(&after, lines, &advice[i]);
        norm_add(&after, "a.csv", advice[i].text, 0);
        norm_run(&after);
        const struct mr_file *f = &after.data->files.v[0];
        cr_expect(f->account.rows_used == advice[i].used && !*f->mend, "%s: %s\n%s\nthen: %s", advice[i].name,
                  norm_line(&after, 0), lines, f->mend);
        norm_end(&before);
        norm_end(&after);
    }
}

Test(advice, never_contradicts_the_columns_own_name) {
    static const char *const heads[] = {"Pull-off force [F]", "Force (C)", "Gloss [C]", "Battery voltage [F]"};
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv", mr_printf(rig.arena, "time,%s\n2026-05-13 08:00,20\n2026-05-13 08:05,21\n", heads[i]),
                 0);
        norm_run(&rig);
        cr_expect(!strstr(rig.data->files.v[0].mend, "temperature\n") && !rig.data->channels.n, "%s: %s", heads[i],
                  rig.data->files.v[0].mend);
        norm_end(&rig);
    }
}
