/*
 * answer_parts.h - parts of the answer beside its steps: verdicts, files, wet film, where the report is.
 */
#ifndef MILRISE_RENDER_ANSWER_ANSWER_PARTS_H
#define MILRISE_RENDER_ANSWER_ANSWER_PARTS_H

#include "render/answer/answer_steps.h"

/* What the front page has room for; where there is more, it gives the gravest and a count. */
enum { MR_ZONES_IN_FRONT = 20 };

void mr_answer_heading(struct mr_page *page, enum mr_page_kind kind, const char *text);
void mr_answer_sentence(struct mr_page *page, const char *text);

/** mr_answer_front_zones - a row for each zone, in the order of the register; of more than MR_ZONES_IN_FRONT those
 * that are gravest, and how many of the others have which outcome. Before them the job as a whole, where a check of
 * none of its zones is open. mr_answer_all_zones - all of them. */
void mr_answer_front_zones(struct mr_page *page, const struct mr_assessment *a, const struct mr_advices *steps);
void mr_answer_all_zones(struct mr_page *page, enum mr_page_kind heading, const struct mr_assessment *a,
                         const struct mr_advices *steps);

/** mr_answer_front_files - rows used and set aside, of each file or of each kind of file. mr_answer_all_files - each
 * file, folded. mr_answer_asides - why rows were set aside, folded. */
void mr_answer_front_files(struct mr_page *page, const struct mr_assessment *a, bool each);
void mr_answer_all_files(struct mr_page *page, const struct mr_assessment *a);
void mr_answer_asides(struct mr_page *page, const struct mr_assessment *a);

/** mr_answer_words - what the files say in words that no rule judges: at most so many, the others counted.
 * mr_answer_words_told - one sentence that there are some, where the front page has no room for them. */
void mr_answer_words(struct mr_page *page, const struct mr_assessment *a, enum mr_page_kind heading, size_t most);
void mr_answer_words_told(struct mr_page *page, const struct mr_assessment *a);

/** mr_answer_wet_film - what wet film forecasts, folded, told as that and nothing more. */
void mr_answer_wet_film(struct mr_page *page, const struct mr_assessment *a);

void mr_answer_links(struct mr_page *page, const struct mr_answer *answer);
void mr_answer_figures(struct mr_page *page, const struct mr_answer *answer);

#endif
