/* question.c - see question.h. */
#include "normalise/column/question.h"

#include "normalise/column/suggest.h"

#include <string.h>

/* The lines so far with more of them; the section's name once. */
static const char *with(struct mr_arena *arena, const char *had, const char *section, const char *lines) {
    bool begun = strncmp(had, section, strlen(section)) == 0;
    return mr_printf(arena, "%s%s%s%s%s", had, *had ? "\n" : "", begun ? "" : section, begun ? "" : "\n", lines);
}

void mr_plan_ask(struct mr_arena *arena, struct mr_plan *plan, enum mr_question question, const char *lines) {
    plan->mend = with(arena, plan->mend, mr_file_key(arena, plan->source), lines);
    plan->asked |= UINT32_C(1) << question;
}

void mr_file_take_plan(struct mr_file *file, const struct mr_plan *plan) {
    file->mend = plan->mend;
    file->asked = plan->asked;
}

void mr_file_ask(struct mr_arena *arena, struct mr_file *file, enum mr_question question, const char *lines) {
    file->mend = with(arena, file->mend, mr_file_key(arena, file->source), lines);
    file->asked |= UINT32_C(1) << question;
}

/* In front: what follows a section's name belongs to it. */
void mr_job_ask(struct mr_arena *arena, struct mr_file *file, enum mr_question question, const char *lines) {
    file->mend = mr_printf(arena, "%s%s%s", file->mend, *file->mend ? "\n" : "", lines);
    file->asked |= UINT32_C(1) << question;
}
