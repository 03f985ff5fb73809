/*
 * question.h - every question that reading a file can ask, in one table, and the only way to ask one.
 *
 * A question is lines for the job file: pasted unchanged but for their question marks, they settle it. A file
 * remembers which were asked, and a test walks the table: each has a case, and no file has lines without a question.
 */
#ifndef MILRISE_NORMALISE_COLUMN_QUESTION_H
#define MILRISE_NORMALISE_COLUMN_QUESTION_H

#include "normalise/column/plan.h"

/* id, stable word, what is asked */
#define MR_QUESTION_LIST(X)                                                                                          \
    X(MR_ASK_KIND_GUESS, "kind-guess", "is it the kind of file that a few headings speak for?")                      \
    X(MR_ASK_KIND_UNITS, "kind-units", "what do the columns of this unit measure?")                                  \
    X(MR_ASK_KIND_NUMBERS, "kind-numbers", "is it the log that its numbers look like?")                              \
    X(MR_ASK_KIND_HAND, "kind-hand", "what kind of file is it, and what does each column mean?")                     \
    X(MR_ASK_PURPOSE, "purpose", "are the readings of the work, though the file says otherwise?")                    \
    X(MR_ASK_FILM_WORD, "film-word", "does the column hold film, though a word of its heading is not known?")        \
    X(MR_ASK_LINE_WORD, "line-word", "is it the pressure of a line, though a word of its heading is not known?")     \
    X(MR_ASK_PLACE, "place", "was it measured at the work?")                                                         \
    X(MR_ASK_RIVALS, "rivals", "which of several columns is it?")                                                    \
    X(MR_ASK_NAME, "name", "does the column name the gauge, the spot or the area?")                                  \
    X(MR_ASK_UNIT, "unit", "in which unit is the column?")                                                           \
    X(MR_ASK_FRACTION, "fraction", "are these percentages fractions?")                                               \
    X(MR_ASK_TYPE, "type", "are readings of this type film?")                                                        \
    X(MR_ASK_DECIMAL, "decimal", "is the mark a decimal mark or one of thousands?")                                  \
    X(MR_ASK_ELAPSED_UNIT, "elapsed-unit", "in which unit is the elapsed time?")                                     \
    X(MR_ASK_ELAPSED_START, "elapsed-start", "when did the elapsed time begin?")                                     \
    X(MR_ASK_FIRST_DATE, "first-date", "on which date was the first time of day?")                                   \
    X(MR_ASK_SPRAY_DATE, "spray-date", "on which date was the first coat?")                                          \
    X(MR_ASK_SHELF, "shelf", "is the column the day until which the material may be used?")                          \
    X(MR_ASK_DAY_NUMBERS, "day-numbers", "are these days the days of the job?")                                      \
    X(MR_ASK_DATE_ORDER, "date-order", "does the day or the month come first?")                                      \
    X(MR_ASK_TIME_ZONE, "time-zone", "in which time zone did the clock run?")

enum mr_question {
#define MR_QUESTION_NAME(id, word, text) id,
    MR_QUESTION_LIST(MR_QUESTION_NAME)
#undef MR_QUESTION_NAME
        MR_QUESTION_COUNT
};

/** mr_plan_ask - add lines under the file's own [file] section. plan->mend and plan->asked begin as "" and 0. */
void mr_plan_ask(struct mr_arena *arena, struct mr_plan *plan, enum mr_question question, const char *lines);

/** mr_file_take_plan - the file's questions so far are the plan's. */
void mr_file_take_plan(struct mr_file *file, const struct mr_plan *plan);

/** mr_file_ask - as mr_plan_ask, when the file is being read. mr_job_ask - lines with a section of their own. */
void mr_file_ask(struct mr_arena *arena, struct mr_file *file, enum mr_question question, const char *lines);
void mr_job_ask(struct mr_arena *arena, struct mr_file *file, enum mr_question question, const char *lines);

#endif
