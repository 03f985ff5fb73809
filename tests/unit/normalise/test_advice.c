/*
 * test_advice.c - what explain advises is complete: pasted into the job file, but for its question marks unchanged,
 * it settles the file. One case for each question that can be asked.
 */
#include "support/norm_rig.h"

#include "normalise/column/question.h"
#include "read/job/job_reader.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct advice_case {
    enum mr_question question;
    const char *name, *text, *answers[4]; /* for the question marks, in order */
    size_t used;                          /* rows after pasting */
};

/* Twelve hours, with air temperature and humidity as they move against each other. */
#define NUMBERS                                                                                                      \
    "q1,q2,q3\n"                                                                                                     \
    "2026-05-13 07:00,10.0,82.8\n"                                                                                   \
    "2026-05-13 08:00,11.0,77.7\n"                                                                                   \
    "2026-05-13 09:00,12.0,73.0\n"                                                                                   \
    "2026-05-13 10:00,12.7,69.9\n"                                                                                   \
    "2026-05-13 11:00,13.7,65.7\n"                                                                                   \
    "2026-05-13 12:00,14.7,61.8\n"                                                                                   \
    "2026-05-13 13:00,15.4,59.3\n"                                                                                   \
    "2026-05-13 14:00,16.4,55.8\n"                                                                                   \
    "2026-05-13 15:00,17.4,52.6\n"                                                                                   \
    "2026-05-13 16:00,18.1,50.5\n"                                                                                   \
    "2026-05-13 17:00,19.1,47.6\n"                                                                                   \
    "2026-05-13 18:00,20.1,44.9\n"

#define TWO_FILM "D,1,210\nD,2,215\nD,3,220\n"

static const struct advice_case advice[] = {
    {MR_ASK_UNIT, "an unknown unit", "zone,spot,DFT (nm)\n" TWO_FILM, {"um"}, 3},
    {MR_ASK_UNIT,
     "no unit of pressure",
     "time,Line A,Line B\n2026-05-13 08:00,85,84\n2026-05-13 08:01,85,84\n",
     {"psi", "psi"},
     2},
    {MR_ASK_RIVALS,
     "two columns of film",
     "zone,spot,DFT um,Coating thickness um\nD,1,210,190\nD,2,215,195\n",
     {NULL},
     2},
    {MR_ASK_FILM_WORD,
     "a film heading with a word nobody knows",
     "zone,spot,Thickness zorb um\n" TWO_FILM,
     {NULL},
     3},
    {MR_ASK_NAME,
     "a gauge under a heading nobody knows",
     "zone,spot,DFT um,Tester\nD,1,210,G2\nD,2,215,G2\n",
     {NULL},
     2},
    {MR_ASK_NAME,
     "two columns of gauges that differ",
     "zone,spot,DFT um,Gauge serial,Instrument\nD,1,210,G1,G2\nD,2,215,G1,G2\n",
     {NULL},
     2},
    {MR_ASK_NAME,
     "spots under a heading nobody knows",
     "zone,area,DFT um,Gauge serial,Zorb\nD,1,210,G1,1\nD,1,215,G1,2\nD,2,210,G1,1\nD,2,215,G1,2\n",
     {NULL},
     4},
    {MR_ASK_RIVALS,
     "two columns of humidity",
     "time,Air °C,RH %,Humidity %\n2026-05-13 08:00,20,50,40\n2026-05-13 08:05,20,51,41\n",
     {NULL},
     2},
    {MR_ASK_TYPE, "a type nobody knows", "zone,spot,type,thickness um\nD,1,film,210\nD,1,Zorb,212\n", {NULL}, 2},
    {MR_ASK_KIND_GUESS, "a kind that little speaks for", "no,reading\n7,210\n9,215\n12,220\n", {"um"}, 3},
    {MR_ASK_KIND_HAND,
     "a kind that nothing speaks for",
     "a1,b1\nx,1.5\ny,2.5\nz,7.5\n",
     {"thickness", "thickness", "um"},
     3},
    {MR_ASK_ELAPSED_START,
     "elapsed time without a start",
     "elapsed s,Air °C,RH %\n0,20,50\n10,21,51\n20,21,52\n",
     {"2026-05-13 08:00:00"},
     3},
    {MR_ASK_ELAPSED_UNIT,
     "elapsed time without start and unit",
     "elapsed,Air °C,RH %\n0,20,50\n10,21,51\n20,21,52\n",
     {"s", "2026-05-13 08:00:00"},
     3},
    {MR_ASK_FIRST_DATE,
     "clocks without a date",
     "time,Air °C,RH %\n08:00,20,50\n08:10,21,51\n08:20,21,52\n",
     {"2026-05-13"},
     3},
    {MR_ASK_SPRAY_DATE,
     "sprays without a date",
     "zone,coat,start,stop\nD,1,08:00,08:20\nE,1,09:00,09:20\n",
     {"2026-05-13"},
     2},
    {MR_ASK_DATE_ORDER,
     "day and month",
     "time,Air °C,RH %\n03/04/2026 08:00,20,50\n03/04/2026 09:00,21,51\n",
     {"day-first"},
     2},
    {MR_ASK_DECIMAL, "thousands or fractions", "zone;spot;thickness um\nD;1;1,234\nD;2;1,235\n", {"comma"}, 2},
    {MR_ASK_FRACTION,
     "a fraction called percent",
     "time,Air °C,RH %\n2026-05-13 08:00,20,0.51\n2026-05-13 08:05,20,0.52\n",
     {NULL},
     2},
    {MR_ASK_KIND_UNITS,
     "a unit without a word",
     "time,x7 (psi)\n2026-05-13 08:00,85\n2026-05-13 08:01,84\n",
     {"main"},
     2},
    {MR_ASK_PURPOSE, "a file that calls itself a test plate", "zone,spot,thickness um\n" TWO_FILM, {NULL}, 3},
    {MR_ASK_LINE_WORD,
     "a line with a word nobody knows",
     "time,Line A zorb psi,Line B psi\n2026-05-13 08:00,85,84\n2026-05-13 08:01,85,84\n",
     {NULL},
     2},
    {MR_ASK_PLACE,
     "a humidity of another place",
     "time,Air °C,RH office %\n2026-05-13 08:00,20,50\n2026-05-13 08:05,20,51\n",
     {NULL},
     2},
    {MR_ASK_DAY_NUMBERS,
     "day numbers that nothing confirms",
     "time,Air °C,RH %\n46155.40,20,50\n46155.41,21,51\n46155.42,21,52\n",
     {NULL},
     3},
    {MR_ASK_TIME_ZONE,
     "letters of a time zone",
     "time,Air °C,RH %\n2026-05-13 08:00 CST,20,50\n2026-05-13 08:10 CST,21,51\n",
     {NULL},
     2},
    {MR_ASK_SHELF,
     "days under a heading nobody knows",
     "date,part,drum,before (l),after (l),zorb\n2026-05-13,A,1,100,80,2026-01-01\n2026-05-13,B,2,100,80,2026-09-01\n",
     {NULL},
     2},
    {MR_ASK_KIND_NUMBERS, "numbers that move as air and humidity do", NUMBERS, {NULL}, 12},
    /* several at once: the lines of one file share a section and settle it together */
    {MR_ASK_RIVALS,
     "two columns of film and a type nobody knows",
     "zone,spot,type,DFT um,Coating thickness um\nD,1,film,210,190\nD,1,Zorb,215,195\n",
     {NULL},
     2},
    {MR_ASK_PLACE,
     "a humidity of another place without a date",
     "time,Air °C,RH office %\n08:00,20,50\n08:05,20,51\n",
     {"2026-05-13"},
     2},
};

static const char *const question_word[] = {
#define WORD(id, word, text) word,
    MR_QUESTION_LIST(WORD)
#undef WORD
};

/* The job file with the lines pasted, their question marks answered in order. */
static const char *pasted(struct norm_rig *rig, const char *lines, const struct advice_case *c) {
    const char *job = "[job]\nname = x\ntime zone = UTC\n";
    size_t asked = 0;
    for (const char *line = lines; *line;) {
        size_t n = strcspn(line, "\n");
        const char *text = mr_strndup(rig->arena, line, n);
        line += n + (line[n] == '\n');
        for (const char *mark = *text == '#' ? NULL : strchr(text, '?'); mark; mark = strchr(text, '?')) {
            const char *answer = asked < 4 ? c->answers[asked++] : NULL;
            cr_assert(answer, "%s asks more than the case answers: %s", c->name, lines);
            text = mr_printf(rig->arena, "%.*s%s%s", (int)(mark - text), text, answer, mark + 1);
        }
        job = mr_printf(rig->arena, "%s%s\n", job, text);
    }
    return job;
}

static void settle(struct norm_rig *rig, const char *job_text, const struct advice_case *c) {
    cr_assert_eq(mr_job_parse(rig->arena, ".", "job.milrise", job_text, strlen(job_text), &rig->diags, &rig->job),
                 MR_OK, "%s: the job file has mistakes: %s\n%s", c->name,
                 rig->diags.list.n ? mr_diag_line(rig->arena, &rig->diags.list.v[0]) : "", job_text);
    rig->sources.job = rig->job;
}

/* Asks the question it is there for; with the lines pasted, every row that can be used is and nothing is asked. */
static void hold(const struct advice_case *c) {
    struct norm_rig before, after;
    const char *path = c->question == MR_ASK_PURPOSE ? "test plate.csv" : "a.csv";
    norm_begin(&before);
    norm_add(&before, path, c->text, 0);
    norm_run(&before);
    const struct mr_file *asks = &before.data->files.v[0];
    cr_expect(asks->asked & (UINT32_C(1) << c->question), "%s does not ask \"%s\": %s\n%s", c->name,
              question_word[c->question], norm_line(&before, 0), asks->mend);
    norm_begin(&after);
    const char *job = pasted(&after, asks->mend, c);
    settle(&after, job, c);
    norm_add(&after, path, c->text, 0);
    norm_run(&after);
    const struct mr_file *f = &after.data->files.v[0];
    cr_expect(f->account.rows_used == c->used && !*f->mend && !f->asked, "%s: %s\n%s\nthen: %s", c->name,
              norm_line(&after, 0), job, f->mend);
    norm_end(&before);
    norm_end(&after);
}

Test(advice, every_question_has_a_case_and_its_lines_settle_it) {
    size_t settled = 0;
    for (enum mr_question q = (enum mr_question)0; q < MR_QUESTION_COUNT; q++) {
        size_t cases = 0;
        for (size_t i = 0; i < MR_COUNT(advice); i++)
            if (advice[i].question == q) {
                hold(&advice[i]);
                cases++;
            }
        cr_expect(cases > 0, "no case asks \"%s\"", question_word[q]);
        settled += cases > 0;
    }
    printf("%zu of %d questions settled by their own lines\n", settled, (int)MR_QUESTION_COUNT);
}

/* The lines are written in one place, which takes the question with them. */
Test(advice, no_question_stands_outside_the_table) {
    FILE *out = popen("grep -rnE '(->|[.])mend = [^N]' src/normalise --include=*.c | "
                      "grep -vE 'column/question[.]c|column/plan[.]c:.*kind_why = plan->mend = \"\"|[.]mend = \"\",'",
                      "r");
    char line[300] = "";
    cr_assert(out);
    cr_expect(!fgets(line, sizeof line, out), "lines for the job file are written beside the table: %s", line);
    (void)pclose(out);
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
