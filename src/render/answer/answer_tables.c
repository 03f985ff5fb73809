/*
 * answer_tables.c - verdict per zone and account per file: the gravest first where there are more than a page holds,
 * the others counted.
 */
#include "render/answer/answer_parts.h"
#include "render/data/outline.h"

#include <string.h>

enum { CAUSES_MOST = 60 };

static enum mr_page_tone tone_of(enum mr_outcome outcome) {
    return outcome == MR_DOES_NOT_CONFORM ? MR_TONE_BAD
           : outcome == MR_NOT_SHOWN      ? MR_TONE_OPEN
           : outcome == MR_CONFORMS       ? MR_TONE_GOOD
                                          : MR_TONE_PLAIN;
}

static void add_row(struct mr_page *page, enum mr_page_tone tone, const char *a, const char *b, const char *c,
                    const char *d) {
    mr_page_add(page, (struct mr_page_item){.kind = MR_PAGE_ROW, .tone = tone, .cell = {a, b, c, d}});
}

static void add_row_head(struct mr_page *page, size_t beside, const char *a, const char *b, const char *c,
                         const char *d) {
    mr_page_add(page, (struct mr_page_item){.kind = MR_PAGE_ROW_HEAD, .number = beside, .cell = {a, b, c, d}});
}

/* Checks of no zone: what they leave open is nobody's row, and decides on the job all the same. */
static void add_job_wide(struct mr_page *page, const struct mr_assessment *a, const struct mr_advices *steps) {
    enum mr_outcome worst = MR_NOT_REQUIRED;
    for (size_t i = 0; i < a->checks.n; i++)
        if (a->checks.v[i].zone == MR_NONE)
            worst = mr_outcome_worst(worst, a->checks.v[i].outcome);
    if (worst < MR_NOT_SHOWN)
        return;
    const char *titles = "";
    for (size_t i = 0; i < a->checks.n; i++)
        if (a->checks.v[i].zone == MR_NONE && a->checks.v[i].outcome == worst &&
            !strstr(titles, a->checks.v[i].title))
            titles = mr_printf(page->arena, "%s%s%s", titles, *titles ? "; " : "", a->checks.v[i].title);
    add_row(page, tone_of(worst), "Checks on the whole job", mr_outcome_text(worst),
            mr_steps_of_zone(steps, steps->n_zones), titles);
}

/* As many of the titles as fit a line: "Spot minimum; Area minimum; and more". */
static const char *short_causes(struct mr_arena *arena, const char *titles) {
    size_t cut = strlen(titles) > CAUSES_MOST ? CAUSES_MOST - strlen("; and more") : 0;
    while (cut > 0 && titles[cut] != ';')
        cut--;
    return cut ? mr_printf(arena, "%.*s; and more", (int)cut, titles) : titles;
}

static void add_zone(struct mr_page *page, const struct mr_assessment *a, const struct mr_advices *steps,
                     size_t zone) {
    const char *worst = a->zones[zone].worst;
    const bool open = a->zones[zone].outcome >= MR_NOT_SHOWN;
    add_row(page, tone_of(a->zones[zone].outcome), a->aligned->zones.v[zone].name,
            mr_outcome_text(a->zones[zone].outcome), mr_steps_of_zone(steps, zone),
            open && worst && *worst ? short_causes(page->arena, worst) : "-");
}

static void begin_zones(struct mr_page *page, const struct mr_assessment *a, const struct mr_advices *steps,
                        enum mr_page_kind kind, const char *heading) {
    mr_answer_heading(page, kind, heading);
    add_row_head(page, 1, "Zone", "Outcome", "Steps", "Because of");
    add_job_wide(page, a, steps);
}

/* The gravest of many, and what the others are. */
static void add_gravest_zones(struct mr_page *page, const struct mr_assessment *a, const struct mr_advices *steps) {
    size_t shown = 0, left[MR_DOES_NOT_CONFORM + 1] = {0};
    for (size_t outcome = MR_DOES_NOT_CONFORM + 1; outcome-- > 0;)
        for (size_t i = 0; i < a->aligned->zones.n; i++) {
            if (a->zones[i].outcome != (enum mr_outcome)outcome)
                continue;
            if (shown < MR_ZONES_IN_FRONT)
                add_zone(page, a, steps, i);
            else
                left[outcome]++;
            shown++;
        }
    const char *text = "";
    for (size_t outcome = MR_DOES_NOT_CONFORM + 1; outcome-- > 0;)
        if (left[outcome])
            text = mr_printf(page->arena, "%s%s %zu %s", text, *text ? "," : "", left[outcome],
                             left[outcome] > 1 && outcome == MR_CONFORMS ? "conform"
                             : left[outcome] > 1 && outcome == MR_DOES_NOT_CONFORM
                                 ? "do not conform"
                                 : mr_outcome_text((enum mr_outcome)outcome));
    mr_answer_sentence(page,
                       mr_printf(page->arena, "The gravest come first. Of the others:%s; see \"All zones\".", text));
}

void mr_answer_front_zones(struct mr_page *page, const struct mr_assessment *a, const struct mr_advices *steps) {
    if (a->aligned->zones.n > MR_ZONES_IN_FRONT) {
        begin_zones(page, a, steps, MR_PAGE_HEADING, "Zones");
        add_gravest_zones(page, a, steps);
    } else if (a->aligned->zones.n > 0) {
        begin_zones(page, a, steps, MR_PAGE_HEADING, "Zones");
        for (size_t i = 0; i < a->aligned->zones.n; i++)
            add_zone(page, a, steps, i);
    }
}

void mr_answer_all_zones(struct mr_page *page, enum mr_page_kind heading, const struct mr_assessment *a,
                         const struct mr_advices *steps) {
    size_t n;
    const size_t *listed = mr_zones_listed(page->arena, a, &n);
    begin_zones(page, a, steps, heading, "All zones");
    for (size_t k = 0; k < n; k++)
        add_zone(page, a, steps, listed[k]);
    if (n < a->aligned->zones.n)
        mr_answer_sentence(page, mr_printf(page->arena,
                                           "These %zu have the worst outcomes of %zu zones; all of them: the table "
                                           "Zones.",
                                           n, a->aligned->zones.n));
}

static const char *count_text(struct mr_arena *arena, uint64_t n) {
    return mr_printf(arena, "%llu", (unsigned long long)n);
}

static void add_files(struct mr_page *page, const struct mr_assessment *a, enum mr_page_kind kind,
                      const char *heading) {
    mr_answer_heading(page, kind, heading);
    add_row_head(page, 2, "File", "Taken as", "Rows", "Set aside");
    for (size_t i = 0; i < a->aligned->data->files.n; i++) {
        const struct mr_file *f = &a->aligned->data->files.v[i];
        const struct mr_account *acc = mr_account_of(a, i);
        add_row(page, MR_TONE_PLAIN, f->source->path, f->copy_of ? "copy of another file" : mr_kind_text(f->kind),
                count_text(page->arena, acc->rows_used), count_text(page->arena, acc->rows_set_aside));
    }
}

/* A row for each kind of file; copies of files stand by themselves. */
static void add_kinds(struct mr_page *page, const struct mr_assessment *a) {
    uint64_t files[MR_KIND_COUNT + 1] = {0}, used[MR_KIND_COUNT + 1] = {0}, aside[MR_KIND_COUNT + 1] = {0};
    for (size_t i = 0; i < a->aligned->data->files.n; i++) {
        const struct mr_file *f = &a->aligned->data->files.v[i];
        const size_t k = f->copy_of ? MR_KIND_COUNT : (size_t)f->kind;
        files[k]++;
        used[k] += mr_account_of(a, i)->rows_used;
        aside[k] += mr_account_of(a, i)->rows_set_aside;
    }
    mr_answer_heading(page, MR_PAGE_HEADING, "What was taken in");
    add_row_head(page, 1, "Taken as", "Files", "Rows used", "Set aside");
    for (size_t k = 0; k <= MR_KIND_COUNT; k++)
        if (files[k])
            add_row(page, MR_TONE_PLAIN, k == MR_KIND_COUNT ? "copy of another file" : mr_kind_text((enum mr_kind)k),
                    count_text(page->arena, files[k]), count_text(page->arena, used[k]),
                    count_text(page->arena, aside[k]));
    mr_answer_sentence(page, "Each file stands under \"All files\".");
}

void mr_answer_front_files(struct mr_page *page, const struct mr_assessment *a, bool each) {
    if (!a->aligned->data || a->aligned->data->files.n == 0)
        return;
    if (each)
        add_files(page, a, MR_PAGE_HEADING, "What was taken in");
    else
        add_kinds(page, a);
}

void mr_answer_all_files(struct mr_page *page, const struct mr_assessment *a) {
    if (a->aligned->data && a->aligned->data->files.n > 0)
        add_files(page, a, MR_PAGE_FOLD, "All files");
}

void mr_answer_asides(struct mr_page *page, const struct mr_assessment *a) {
    bool any = false;
    for (size_t i = 0; a->aligned->data && i < a->aligned->data->files.n; i++) {
        const struct mr_account *acc = mr_account_of(a, i);
        const char *text = "";
        for (size_t k = 0; k < MR_ASIDE_COUNT; k++)
            if (acc->by_reason[k])
                text = mr_printf(page->arena, "%s%s%s: %llu", text, *text ? "; " : "",
                                 mr_aside_text((enum mr_aside)k), (unsigned long long)acc->by_reason[k]);
        if (!*text)
            continue;
        if (!any) {
            mr_answer_heading(page, MR_PAGE_FOLD, "Why rows were set aside");
            add_row_head(page, 1, "File", "Reasons", NULL, NULL);
        }
        any = true;
        add_row(page, MR_TONE_PLAIN, a->aligned->data->files.v[i].source->path, text, NULL, NULL);
    }
}

static size_t count_words(const struct mr_assessment *a) {
    size_t n = 0;
    for (size_t i = 0; a->aligned->data && i < a->aligned->data->files.n; i++)
        n += a->aligned->data->files.v[i].sayings.n;
    return n;
}

void mr_answer_words(struct mr_page *page, const struct mr_assessment *a, enum mr_page_kind heading, size_t most) {
    const size_t all = count_words(a);
    size_t n = 0;
    if (!all)
        return;
    mr_answer_heading(page, heading, "Words that no rule judges: read them yourself");
    add_row_head(page, 1, "Where", "Words", "Rows", NULL);
    for (size_t i = 0; i < a->aligned->data->files.n; i++) {
        const struct mr_file *file = &a->aligned->data->files.v[i];
        for (size_t k = 0; k < file->sayings.n && n < most; k++, n++) {
            const struct mr_saying *s = &file->sayings.v[k];
            add_row(
                page, MR_TONE_PLAIN,
                s->text ? mr_printf(page->arena, "%s:%u", file->source->path, (unsigned)s->line) : file->source->path,
                mr_printf(page->arena, "%s%s%s", s->name, *s->name ? ": " : "", s->text ? s->text : "further texts"),
                count_text(page->arena, s->cells), NULL);
        }
    }
    if (n < all)
        mr_answer_sentence(page, mr_printf(page->arena, "%zu more: see the sheet Words of the workbook.", all - n));
}

void mr_answer_words_told(struct mr_page *page, const struct mr_assessment *a) {
    const size_t n = count_words(a);
    if (n)
        mr_answer_sentence(page, mr_printf(page->arena,
                                           "The files hold %zu %s that no rule judges: read %s under \"Words that no "
                                           "rule judges\".",
                                           n, n == 1 ? "remark" : "remarks", n == 1 ? "it" : "them"));
}
