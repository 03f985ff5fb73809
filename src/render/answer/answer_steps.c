/*
 * answer_steps.c - advice is given once, with the places that it holds for; what was found there is folded beneath.
 */
#include "render/answer/answer_steps.h"

#include "numeric/stable_sort.h"

#include <string.h>

enum { PLACES_MOST = 3, DETAILS_MOST = 4, DETAILS_ALONE = 20, STEPS_MOST = 60 };

/* Returns: the number of the step of these words. */
static size_t step_of(struct mr_advices *all, const char *text) {
    struct mr_text_entry *known = mr_text_entry(&all->seen, text, strlen(text));
    if (!known->text) {
        *known = (struct mr_text_entry){text, all->v.n};
        const struct mr_advice fresh = {
            .text = text, .seen_places = {.arena = all->arena}, .seen_details = {.arena = all->arena}};
        MR_PUSH(all->arena, &all->v, fresh);
    }
    return known->at;
}

static bool is_new(struct mr_text_set *seen, const char *text) {
    struct mr_text_entry *told = mr_text_entry(seen, text, strlen(text));
    const bool fresh = !told->text;
    told->text = fresh ? text : told->text;
    return fresh;
}

static void add_place(struct mr_advices *all, size_t step, const char *name, size_t zone) {
    struct mr_advice *advice = &all->v.v[step];
    if (!is_new(&advice->seen_places, name))
        return;
    if (advice->places.n <= PLACES_MOST)
        MR_PUSH(all->arena, &advice->places, name);
    if (zone == MR_NONE)
        return;
    advice->n_zones++;
    MR_PUSH(all->arena, &all->of_zone[zone].at, step);
}

static void add_detail(struct mr_advices *all, size_t step, const char *detail) {
    struct mr_advice *advice = &all->v.v[step];
    if (is_new(&advice->seen_details, detail) && advice->details.n <= DETAILS_ALONE)
        MR_PUSH(all->arena, &advice->details, detail);
}

/* What the job file lacks comes first: nothing else can be mended before. */
static void steps_on_diags(struct mr_advices *all, const struct mr_diags *diags, bool of_job_file) {
    for (size_t i = 0; diags && i < diags->list.n; i++) {
        const struct mr_diag *d = &diags->list.v[i];
        bool in_job_file = d->place.file && strcmp(d->place.file, MR_JOB_FILE) == 0;
        if (d->severity < MR_WARNING || in_job_file != of_job_file)
            continue;
        const size_t step = step_of(all, d->mend && *d->mend ? d->mend : "Correct this:");
        add_detail(all, step, mr_diag_plain(all->arena, d));
    }
}

/* Whether a check of no zone that is open rests on this file too. */
static bool holds_job_up(const struct mr_assessment *a, const char *file) {
    for (size_t i = 0; i < a->checks.n; i++) {
        const struct mr_check *c = &a->checks.v[i];
        for (size_t k = 0; c->zone == MR_NONE && c->outcome >= MR_NOT_SHOWN && k < c->evidence.n; k++)
            if (c->evidence.v[k].place.file && strcmp(c->evidence.v[k].place.file, file) == 0)
                return true;
    }
    return false;
}

static void add_step_of(struct mr_advices *all, size_t row, size_t step) {
    for (size_t k = 0; k < all->of_zone[row].at.n; k++)
        if (all->of_zone[row].at.v[k] == step)
            return;
    MR_PUSH(all->arena, &all->of_zone[row].at, step);
}

/* A finding that is of no zone stands at the file that shows it. */
static void steps_on_findings(struct mr_advices *all, const struct mr_assessment *a) {
    for (size_t i = 0; i < a->findings.n; i++) {
        const struct mr_finding *f = &a->findings.v[i];
        if (f->severity < MR_WARNING)
            continue;
        const size_t step = step_of(all, f->next_step && *f->next_step ? f->next_step : "Check this:");
        const char *file = f->evidence.n ? f->evidence.v[0].place.file : NULL;
        if (f->zone != MR_NONE)
            add_place(all, step, a->aligned->zones.v[f->zone].name, f->zone);
        else if (file && *file)
            add_place(all, step, file, MR_NONE);
        if (f->zone == MR_NONE && file && *file && holds_job_up(a, file))
            add_step_of(all, all->n_zones, step);
        add_detail(all, step, f->what);
        if (f->caution && *f->caution && is_new(&all->cautions, f->caution))
            add_detail(all, step, f->caution);
    }
}

/* Lines for the job file that settle how a file is read. */
static void steps_with_lines(struct mr_advices *all, const struct mr_assessment *a) {
    const struct mr_data *data = a->aligned->data;
    for (size_t i = 0; data && i < data->files.n; i++) {
        const struct mr_file *f = &data->files.v[i];
        if (!f->mend || !*f->mend)
            continue;
        struct mr_advice fresh = {
            .text = mr_printf(all->arena,
                              "State how to read %s: add these lines to %s and keep those that are true of the file.",
                              f->source->path, MR_JOB_FILE),
            .paste = f->mend};
        MR_PUSH(all->arena, &all->v, fresh);
    }
}

static bool has_lines(const struct mr_advice *step) {
    return step->paste || strchr(step->text, '\n');
}

/* 0, 1, 2: what a few lines in the job file settle comes first, since it may settle much else; then the gravest step
 * of each zone, so that whoever reads no further than the first page has read of every zone what to do first. */
static char *ranks_of(const struct mr_advices *all) {
    char *rank = MR_ARRAY(all->arena, char, all->v.n);
    for (size_t i = 0; i < all->v.n; i++)
        rank[i] = has_lines(&all->v.v[i]) ? 0 : all->v.v[i].n_zones == 0 ? 1 : 2;
    for (size_t z = 0; z < all->n_zones; z++)
        for (size_t k = 0; k < all->of_zone[z].at.n; k++) {
            const size_t i = all->of_zone[z].at.v[k];
            if (rank[i] == 0)
                continue;
            rank[i] = 1;
            break;
        }
    return rank;
}

static int order_numbers(const void *a, const void *b) {
    return MR_ORDER(*(const size_t *)a, *(const size_t *)b);
}

static void order_steps(struct mr_advices *all) {
    const char *rank = ranks_of(all);
    struct mr_advice *ordered = MR_ARRAY(all->arena, struct mr_advice, all->v.n);
    size_t *place = MR_ARRAY(all->arena, size_t, all->v.n), n = 0;
    for (char r = 0; r <= 2; r++)
        for (size_t i = 0; i < all->v.n; i++)
            if (rank[i] == r) {
                place[i] = n;
                ordered[n++] = all->v.v[i];
            }
    memcpy(all->v.v, ordered, n * sizeof *ordered);
    for (size_t z = 0; z <= all->n_zones; z++) {
        for (size_t k = 0; k < all->of_zone[z].at.n; k++)
            all->of_zone[z].at.v[k] = place[all->of_zone[z].at.v[k]];
        if (all->of_zone[z].at.n > 1)
            mr_sort_stable(all->arena, all->of_zone[z].at.v, all->of_zone[z].at.n, sizeof *all->of_zone[z].at.v,
                           order_numbers);
    }
}

struct mr_advices mr_steps_of(struct mr_arena *arena, const struct mr_answer *answer) {
    struct mr_advices all = {.arena = arena, .seen = {.arena = arena}, .cautions = {.arena = arena}};
    if (answer->assessment && answer->published) {
        all.n_zones = answer->assessment->aligned->zones.n;
        all.of_zone = mr_alloc(arena, all.n_zones + 1, sizeof *all.of_zone);
        memset(all.of_zone, 0, (all.n_zones + 1) * sizeof *all.of_zone);
        steps_with_lines(&all, answer->assessment);
        steps_on_findings(&all, answer->assessment);
        if (all.v.n)
            order_steps(&all);
    } else {
        steps_on_diags(&all, answer->diags, true);
        steps_on_diags(&all, answer->diags, false);
    }
    return all;
}

const char *mr_steps_of_zone(const struct mr_advices *steps, size_t zone) {
    const size_t *at = steps->of_zone[zone].at.v, n = steps->of_zone[zone].at.n;
    const char *text = "";
    for (size_t k = 0; k < n; k++) {
        const size_t first = k;
        while (k + 1 < n && at[k + 1] == at[k] + 1)
            k++;
        text = mr_printf(steps->arena, "%s%s%zu", text, *text ? ", " : "", at[first] + 1);
        if (k > first)
            text = mr_printf(steps->arena, "%s%s%zu", text, k > first + 1 ? "-" : ", ", at[k] + 1);
    }
    return *text ? text : "-";
}

static const char *places_text(struct mr_arena *arena, const struct mr_advice *step, size_t n_zones) {
    if (step->n_zones == n_zones && n_zones > PLACES_MOST)
        return "All zones";
    const size_t n = step->seen_places.n, shown = n <= PLACES_MOST + 1 ? n : PLACES_MOST;
    const char *text = NULL;
    for (size_t k = 0; k < shown; k++)
        text = mr_printf(arena, "%s%s%s", text ? text : "", text ? "; " : "", step->places.v[k]);
    return shown < n ? mr_printf(arena, "%s; and %zu more", text, n - shown) : text;
}

static void add_lines(struct mr_page *page, const char *lines) {
    while (lines && *lines) {
        const size_t n = strcspn(lines, "\n");
        mr_page_add(page, (struct mr_page_item){.kind = MR_PAGE_PASTE, .cell = {mr_strndup(page->arena, lines, n)}});
        lines += n + (lines[n] == '\n');
    }
}

/* What a workbook lists is shortened here; where there is none, the page is all that there is to read. */
static void add_step(struct mr_page *page, const struct mr_advices *steps, size_t i, bool whole) {
    const struct mr_advice *step = &steps->v.v[i];
    const size_t words = strcspn(step->text, "\n"); /* further lines are to be pasted */
    mr_page_add(page, (struct mr_page_item){.kind = MR_PAGE_STEP,
                                            .number = i + 1,
                                            .cell = {mr_strndup(page->arena, step->text, words),
                                                     places_text(page->arena, step, steps->n_zones)}});
    add_lines(page, step->text[words] ? step->text + words + 1 : NULL);
    add_lines(page, step->paste);
    const enum mr_page_kind kind = whole ? MR_PAGE_DETAIL : MR_PAGE_FOLDED;
    const size_t most = whole ? DETAILS_ALONE : DETAILS_MOST, n = step->seen_details.n;
    const size_t shown = n <= most + 1 ? n : most;
    for (size_t k = 0; k < shown; k++)
        mr_page_add(page, (struct mr_page_item){.kind = kind, .cell = {step->details.v[k]}});
    if (shown < n)
        mr_page_add(page,
                    (struct mr_page_item){.kind = kind,
                                          .cell = {mr_printf(page->arena, "and %zu more like these: %s", n - shown,
                                                             whole ? "correct these first, and run again"
                                                                   : "see the sheet Findings of the workbook")}});
}

size_t mr_steps_add(struct mr_page *page, const struct mr_advices *steps, size_t from, size_t room_tenths,
                    bool whole) {
    size_t i = from, used = 0;
    for (; i < steps->v.n && i - from < STEPS_MOST; i++) {
        const size_t before = page->items.n;
        add_step(page, steps, i, whole);
        used += page->form->tenths(page, before, page->items.n);
        if (used > room_tenths && i > from) {
            page->items.n = before;
            break;
        }
    }
    return i;
}
