/*
 * part_cover.c - the cover: whose report it is, on what, how it stands, and who signs.
 */
#include "render/data/cautions.h"
#include "render/submittal/leaf_pdf.h"
#include "render/submittal/parts.h"

#include <string.h>

#define LOGO_W 150.0
#define LOGO_H 60.0

static void put_logo(const struct mr_sub *s, const struct mr_text_file *logo) {
    struct mr_leaves *l = s->l;
    double w, h;
    if (!logo)
        return;
    if (!mr_leaf_picture_size((const unsigned char *)logo->data, logo->size, &w, &h)) {
        mr_leaves_paragraph(l, MR_LEAF_NOTE, 0, mr_printf(s->arena, "%s cannot be drawn.", logo->name));
        return;
    }
    const double scale = LOGO_W / w < LOGO_H / h ? LOGO_W / w : LOGO_H / h;
    mr_leaves_open(l, "Figure");
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_PICTURE,
                                           .x = l->left,
                                           .y = l->y,
                                           .w = w * scale,
                                           .h = h * scale,
                                           .text = mr_printf(s->arena, "logo %s", s->a->job->wording.firm),
                                           .bytes = (const unsigned char *)logo->data,
                                           .n_bytes = logo->size});
    mr_leaves_close(l);
    l->y += h * scale + 8;
}

static const char *days_text(const struct mr_sub *s) {
    const struct mr_alignment *al = s->a->aligned;
    if (al->shifts.n == 0)
        return "";
    const char *from = mr_day_text(&s->o->chart_job, al->shifts.v[0].t0_utc_ms),
               *to = mr_day_text(&s->o->chart_job, al->shifts.v[al->shifts.n - 1].t1_utc_ms);
    return strcmp(from, to) == 0 ? from : mr_printf(s->arena, "%s to %s", from, to);
}

static void put_facts(const struct mr_sub *s) {
    const struct mr_outline *o = s->o;
    const struct mr_job *j = s->a->job;
    const struct mr_fact facts[] = {
        {mr_sub_word(s, "Site"), j->site},
        {mr_sub_word(s, "Contract"), j->contract},
        {mr_sub_word(s, "Client"), j->client},
        {mr_sub_word(s, "Crew"), j->crew},
        {mr_sub_word(s, "Days of work"), days_text(s)},
        {mr_sub_word(s, "Revision"),
         s->choice->draft ? mr_sub_word(s, "draft, not published") : mr_printf(s->arena, "%ld", o->revision)},
        {mr_sub_word(s, "Date"), o->stamp},
        {mr_sub_word(s, "Times"), o->offset_text[0]
                                      ? mr_printf(s->arena, "local, %s (%s)", j->time_zone, o->offset_text)
                                      : mr_printf(s->arena, "local, %s, each with its offset", j->time_zone)}};
    mr_leaves_facts(s->l, MR_COUNT(facts), facts);
}

static const char *shown_zones(const struct mr_sub *s) {
    const struct mr_alignment *al = s->a->aligned;
    const char *list = "";
    for (size_t z = 0; z < al->zones.n; z++)
        if (mr_sub_shows(s, z))
            list = mr_printf(s->arena, "%s%s%s", list, *list ? ", " : "", al->zones.v[z].name);
    return mr_printf(s->arena, "These pages show %zu of %zu zones: %s. The outcome of the job counts all of them.",
                     s->n_chosen, al->zones.n, list);
}

/* The outcome in a box whose ground repeats what the words say. */
static void put_outcome(const struct mr_sub *s) {
    struct mr_leaves *l = s->l;
    const enum mr_outcome outcome = s->a->outcome;
    const struct mr_ink ground = outcome == MR_DOES_NOT_CONFORM ? MR_INK_ROSE
                                 : outcome == MR_NOT_SHOWN      ? (struct mr_ink){0xfb, 0xee, 0xcf}
                                                                : MR_INK_BAND;
    mr_leaf_lines lines = {0};
    const char *counts = mr_printf(s->arena, "%s.", mr_zone_counts_text(s->arena, s->a));
    mr_leaf_wrap(l, counts, 9, false, l->right - l->left - 24, &lines);
    const double height = 34 + (double)lines.n * 12;
    mr_leaves_put(
        l, (struct mr_set_piece){
               .kind = MR_PIECE_FILL, .ink = ground, .x = l->left, .y = l->y, .w = l->right - l->left, .h = height});
    mr_leaves_open(l, "P");
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_TEXT,
                                           .ink = MR_INK_BLACK,
                                           .x = l->left + 12,
                                           .y = l->y + 20,
                                           .size = 13,
                                           .bold = true,
                                           .text = mr_printf(s->arena, "%s: %s", mr_sub_word(s, "Outcome of the job"),
                                                             mr_sub_word(s, mr_outcome_text(outcome)))});
    for (size_t i = 0; i < lines.n; i++)
        mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_TEXT,
                                               .ink = MR_INK_BLACK,
                                               .x = l->left + 12,
                                               .y = l->y + 35 + 12 * (double)i,
                                               .size = 9,
                                               .text = lines.v[i]});
    mr_leaves_close(l);
    l->y += height + 12;
}

static void put_sign_off(const struct mr_sub *s) {
    static const char *const parts[] = {"Name, role", "Signature", "Date"};
    static const double at[] = {0.30, 0.56, 0.84};
    enum { ROW = 36 };
    struct mr_leaves *l = s->l;
    const struct mr_wording *w = &s->a->job->wording;
    const double width = l->right - l->left;
    if (w->roles.n == 0)
        return;
    mr_leaves_heading(l, MR_LEAF_H2, mr_sub_word(s, "Sign-off"), NULL);
    mr_leaves_paragraph(l, MR_LEAF_BODY, 0, w->sign_off);
    for (size_t i = 0; i < w->roles.n; i++) {
        mr_leaf_lines lines = {0};
        mr_leaf_wrap(l, w->roles.v[i], 9, false, 0.29 * width, &lines);
        const double row = ROW + (lines.n > 2 ? 11 * (double)(lines.n - 2) : 0);
        mr_leaves_need(l, row);
        mr_leaves_open(l, "P");
        const double y = l->y + row - 6;
        for (size_t k = 0; k < lines.n; k++)
            mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_TEXT,
                                                   .ink = MR_INK_BLACK,
                                                   .x = l->left,
                                                   .y = y - 3 - 11 * (double)(lines.n - 1 - k),
                                                   .size = 9,
                                                   .text = lines.v[k]});
        for (size_t k = 0; k < MR_COUNT(parts); k++)
            mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_TEXT,
                                                   .ink = MR_INK_GREY,
                                                   .x = l->left + at[k] * width,
                                                   .y = y - 3,
                                                   .size = MR_LEAF_SMALL,
                                                   .text = mr_sub_word(s, parts[k])});
        mr_leaves_close(l);
        mr_leaves_put(l,
                      (struct mr_set_piece){
                          .kind = MR_PIECE_RULE, .ink = MR_INK_GREY, .x = l->left, .y = y, .w = width, .size = 0.6});
        l->y += row;
    }
}

void mr_sub_cover(const struct mr_sub *s) {
    struct mr_leaves *l = s->l;
    const struct mr_wording *w = &s->a->job->wording;
    put_logo(s, w->logo);
    mr_leaves_paragraph(l, MR_LEAF_STRONG, 0, w->firm);
    mr_leaves_paragraph(l, MR_LEAF_NOTE, 0, w->address);
    l->y = l->y < 150 ? 150 : l->y + 20;
    mr_leaves_heading(l, MR_LEAF_TITLE, w->title, "cover");
    mr_leaves_paragraph(l, MR_LEAF_H2, 0, s->o->job_name);
    l->y += 8;
    put_facts(s);
    l->y += 6;
    put_outcome(s);
    if (s->choice->chosen)
        mr_leaves_paragraph(l, MR_LEAF_STRONG, 0, shown_zones(s));
    if (!s->a->judged)
        mr_leaves_paragraph(l, MR_LEAF_STRONG, 0, "Nothing in the job folder could be judged.");
    mr_leaves_paragraph(l, MR_LEAF_BODY, 0, w->statement);
    mr_leaves_paragraph(l, MR_LEAF_BODY, 0, mr_sub_word(s, mr_limit_of_use));
    put_sign_off(s);
}
