/*
 * kept.c - see the header.
 */
#include "render/report/kept.h"

#include "base/sha256.h"
#include "render/data/word_index.h"
#include "render/draw/draw_key.h"
#include "render/publish/beneath.h"

#include <errno.h>
#include <string.h>

enum { FILE_MOST = 64 << 20 };

/* The former report's figures, found by their stems, which it has each once. */
static struct mr_word_index index_of(struct mr_arena *arena, const struct mr_former *former) {
    const char **stem = MR_ARRAY(arena, const char *, former->figures.n);
    for (size_t i = 0; i < former->figures.n; i++)
        stem[i] = former->figures.v[i].stem;
    return mr_word_index_make(arena, former->figures.n, stem);
}

static const struct mr_former_figure *find(const struct mr_former *former, const struct mr_word_index *index,
                                           const char *stem) {
    size_t n;
    const size_t *at = mr_word_places(index, stem, &n);
    return n ? &former->figures.v[at[0]] : NULL;
}

static void set_standing(const struct mr_outline *o, struct mr_chart *c, long since, int64_t created_utc_ms) {
    c->since = since;
    c->created_utc_ms = created_utc_ms;
    mr_page_stands(c->list, mr_since_text(o->arena, since));
}

void mr_figures_keep(const struct mr_outline *o, const struct mr_former *former, mr_chart_list *charts) {
    const struct mr_word_index index = index_of(o->arena, former);
    char drawer[65];
    mr_drawer_print(drawer);
    for (size_t i = 0; i < charts->n; i++) {
        struct mr_chart *c = &charts->v[i];
        mr_page_stands(c->list, "");
        mr_draw_key(c->list, drawer, c->key);
        const struct mr_former_figure *f = find(former, &index, c->stem);
        c->kept = f && strcmp(f->key, c->key) == 0;
        if (c->kept)
            set_standing(o, c, f->since, f->created_utc_ms);
        else
            set_standing(o, c, o->revision, o->created_utc_ms);
    }
}

void mr_figures_copy(const struct mr_outline *o, const struct mr_former *former, mr_chart_list *charts) {
    const struct mr_word_index index = index_of(o->arena, former);
    for (size_t i = 0; i < charts->n; i++) {
        const struct mr_former_figure *f = find(former, &index, charts->v[i].stem);
        if (f)
            set_standing(o, &charts->v[i], f->since, f->created_utc_ms);
        else
            set_standing(o, &charts->v[i], o->revision, o->created_utc_ms);
    }
}

static bool has_hash(const char *data, size_t n, const char *sha256) {
    char own[65];
    struct mr_sha256 *sha = mr_sha256_new();
    mr_sha256_add(sha, data, n);
    mr_sha256_end(sha, own);
    return strcmp(own, sha256) == 0;
}

bool mr_figure_taken(const struct mr_publish *pub, const char *path, const char *sha256, struct mr_handed *handed) {
    const int before = errno;
    struct mr_arena *own = mr_arena_like(pub->arena);
    size_t n = 0;
    const char *from = mr_printf(own, "%s/%s", mr_revision_name(own, pub->revisions.newest.revision), path),
               *data = mr_beneath_bytes(own, pub->reports, from, FILE_MOST, &n);
    const bool same = data && has_hash(data, n, sha256);
    if (same)
        mr_handed_put(handed, data, n);
    mr_arena_free(own);
    errno = before;
    return same;
}
