/*
 * submittal.c - the order of the parts, and what they share.
 */
#include "render/submittal/submittal.h"

#include "base/json.h"
#include "render/data/cautions.h"
#include "render/data/report_lists.h"
#include "render/submittal/leaf_pdf.h"
#include "render/submittal/parts.h"

#include <string.h>

/* One line of the contents: title, page. */
static void put_entry(const struct mr_sub *s, const struct mr_bookmark *b) {
    struct mr_leaves *l = s->l;
    const double size = b->level ? 8.5 : 9.5, step = b->level ? 12.5 : 17, indent = b->level ? 16 : 0;
    mr_leaves_need(l, step);
    const double y = l->y + step - 3;
    mr_leaves_open(l, "TOCI");
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_LINK, .to = b->to});
    mr_leaves_put(l, (struct mr_set_piece){
                         .kind = MR_PIECE_TEXT,
                         .ink = MR_INK_BLACK,
                         .x = l->left + indent,
                         .y = y,
                         .size = size,
                         .bold = !b->level,
                         .text = mr_text_fit(s->arena, b->title, size, !b->level, l->right - l->left - indent - 40)});
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_NUMBER,
                                           .ink = MR_INK_BLACK,
                                           .x = l->right,
                                           .y = y,
                                           .size = size,
                                           .anchor = MR_RIGHT,
                                           .to = b->to});
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_UNLINK});
    mr_leaves_close(l);
    l->y += step;
}

/* Set last, when every page is known, then moved behind the cover. */
static void put_contents(const struct mr_sub *s, size_t cover) {
    struct mr_leaves *l = s->l;
    mr_leaves_turn(l);
    const size_t from = l->leaf.n - 1, entries = l->bookmarks.n;
    mr_leaves_heading(l, MR_LEAF_H1, mr_sub_word(s, "Contents"), "contents");
    for (size_t i = 1; i < entries; i++)
        put_entry(s, &l->bookmarks.v[i]);
    const size_t n = l->leaf.n - from;
    struct mr_leaf *moved = MR_ARRAY(s->arena, struct mr_leaf, n);
    memcpy(moved, l->leaf.v + from, n * sizeof *moved);
    memmove(l->leaf.v + cover + n, l->leaf.v + cover, (from - cover) * sizeof *moved);
    memcpy(l->leaf.v + cover, moved, n * sizeof *moved);
    for (size_t i = 0; i < l->places.n; i++) {
        size_t *page = &l->places.v[i].page;
        *page = *page >= from ? *page - from + cover : *page >= cover ? *page + n : *page;
    }
    struct mr_bookmark own = l->bookmarks.v[entries];
    memmove(l->bookmarks.v + 2, l->bookmarks.v + 1, (entries - 1) * sizeof own);
    l->bookmarks.v[1] = own;
}

static size_t count_chosen(const struct mr_assessment *a, const struct mr_zone_choice *choice) {
    size_t n = 0;
    for (size_t z = 0; z < a->aligned->zones.n; z++)
        n += !choice->chosen || choice->chosen[z];
    return n;
}

struct mr_leaves *mr_submittal_leaves(const struct mr_outline *o, const struct mr_zone_choice *choice) {
    const struct mr_rows findings = mr_finding_rows(o);
    const struct mr_sub s = {.o = o,
                             .a = o->a,
                             .arena = o->arena,
                             .l = mr_leaves_new(o->arena, o->letter, choice->other_font),
                             .choice = choice,
                             .findings = mr_rows_table(o, &findings),
                             .n_chosen = count_chosen(o->a, choice),
                             .more = MR_ARRAY(o->arena, struct mr_sub_more, o->a->aligned->zones.n + 1),
                             .placed = MR_ARRAY(o->arena, bool, o->charts->n + 1)};
    mr_sub_cover(&s);
    const size_t cover = s.l->leaf.n;
    mr_sub_verdict(&s);
    mr_sub_open(&s);
    mr_sub_findings(&s);
    mr_sub_zones(&s);
    mr_sub_figures(&s);
    mr_sub_gauges(&s);
    mr_sub_inputs(&s);
    mr_sub_basis(&s);
    mr_sub_cautions(&s);
    put_contents(&s, cover);
    return s.l;
}

static const char *clean(const struct mr_outline *o, const char *text) {
    enum { PROPERTY_BYTES = 400 };
    return mr_leaf_clean(o->arena, text, strlen(text), PROPERTY_BYTES);
}

enum mr_status mr_submittal(const struct mr_outline *o, const struct mr_zone_choice *choice, mr_put_fn put,
                            void *ctx) {
    const struct mr_leaves *l = mr_submittal_leaves(o, choice);
    const struct mr_wording *w = &o->a->job->wording;
    const char *author = w->author[0] && w->firm[0] ? mr_printf(o->arena, "%s, %s", w->author, w->firm)
                         : w->firm[0]               ? w->firm
                                                    : w->author;
    const char *revision = choice->draft ? mr_word(o->a->job, "draft, not published")
                                         : mr_printf(o->arena, "%s %ld", mr_word(o->a->job, "revision"), o->revision);
    const struct mr_leaf_info info = {
        .title = clean(o, mr_printf(o->arena, "%s: %s, %s", w->title, o->job_name, revision)),
        .author = clean(o, author),
        .subject = clean(o, o->a->job->site),
        .keywords = mr_printf(o->arena, "%s; milrise %s", mr_outcome_text(o->a->outcome), o->version),
        .language = w->language,
        .created_iso = mr_utc_text(o->arena, o->created_utc_ms),
        .head_left = clean(o, mr_printf(o->arena, "%s: %s", w->title, o->job_name)),
        .head_right = clean(o, o->stamp[0] ? mr_printf(o->arena, "%s, %s", revision, o->stamp) : revision),
        .foot_left = w->firm[0] ? clean(o, w->firm) : mr_word(o->a->job, mr_foot_words),
        .page = mr_word(o->a->job, "page"),
        .of = mr_word(o->a->job, "of")};
    return mr_leaf_pdf(l, &info, put, ctx);
}
