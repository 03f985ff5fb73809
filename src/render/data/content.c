#include "render/data/content.h"

#include "base/sha256.h"

#include <string.h>

static void add(struct mr_sha256 *digest, const char *text) {
    text = text ? text : "";
    mr_sha256_add(digest, text, strlen(text) + 1);
}

static void take(void *ctx, const void *data, size_t n) {
    mr_sha256_add(ctx, data, n);
}

void mr_report_content(struct mr_arena *arena, const struct mr_assessment *a, const char *version, bool charts,
                       char out[65]) {
    struct mr_sha256 *digest = mr_sha256_new();
    struct mr_arena *scratch = mr_arena_like(arena);
    add(digest, version);
    add(digest, charts ? "charts" : "");
    for (size_t i = 0; i < a->job->config.n; i++) {
        add(digest, a->job->config.v[i].path);
        add(digest, a->job->config.v[i].sha256);
    }
    const struct mr_data *data = a->aligned->data;
    for (size_t i = 0; i < data->files.n; i++) {
        add(digest, data->files.v[i].source->path);
        add(digest, data->files.v[i].source->sha256);
    }
    mr_assess_dump_to(scratch, a, take, digest);
    add(digest, "");
    mr_arena_free(scratch);
    mr_sha256_end(digest, out);
}
