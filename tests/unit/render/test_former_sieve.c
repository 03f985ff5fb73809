/*
 * What the next report needs of a report.json is the same with all else left out, wherever the file's pieces end; a
 * file that breaks off is none.
 */
#include "render/data/former_sieve.h"

#include "render/data/former_report.h"
#include "render_run.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* Everything that was read, in words. */
static const char *told(struct mr_arena *arena, const struct mr_former *f) {
    const char *t = mr_printf(arena, "%d %ld %s %s\n", f->any, f->revision, f->version, f->outcome);
    for (size_t i = 0; i < f->zones.n; i++)
        t = mr_printf(arena, "%s%s|%s|%ld|%.17g|%.17g\n", t, f->zones.v[i].name, f->zones.v[i].outcome,
                      f->zones.v[i].readings, f->zones.v[i].mean_um, f->zones.v[i].least_um);
    for (size_t i = 0; i < f->entries.n; i++) {
        const struct mr_former_entry *e = &f->entries.v[i];
        t = mr_printf(arena, "%s%s|%s|%s|%s|%s|%s|%s|%s|%s\n", t, e->number, e->zone, e->what, e->found, e->found_in,
                      e->disposition, e->closed, e->closed_by, e->state);
    }
    for (size_t i = 0; i < f->figures.n; i++)
        t = mr_printf(arena, "%s%s|%s|%ld|%lld\n", t, f->figures.v[i].stem, f->figures.v[i].key,
                      f->figures.v[i].since, (long long)f->figures.v[i].created_utc_ms);
    for (size_t i = 0; i < f->files.n + f->settings.n; i++) {
        const struct mr_former_pair *p = i < f->files.n ? &f->files.v[i] : &f->settings.v[i - f->files.n];
        t = mr_printf(arena, "%s%s=%s\n", t, p->name, p->value);
    }
    return t;
}

static const char *sieved(struct mr_arena *arena, const char *dir, const char *file, size_t max) {
    const int folder = open(dir, O_RDONLY | O_DIRECTORY);
    const char *text = mr_former_text(arena, folder, file, max);
    const int error = errno;
    close(folder);
    errno = error;
    return text;
}

Test(former_sieve, a_published_report_says_the_same_in_half_its_bytes) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 1, true), MR_OK);
    const char *dir = mr_printf(run.arena, "%s/reports/latest", run.dir),
               *whole = file_text(run.arena, mr_printf(run.arena, "%s/report.json", dir), NULL),
               *text = sieved(run.arena, dir, "report.json", SIZE_MAX);
    const struct mr_former a = mr_former_read(run.arena, whole), b = mr_former_read(run.arena, text);
    cr_assert(a.any && a.zones.n && a.figures.n && a.files.n && a.settings.n, "%s", told(run.arena, &a));
    cr_expect_str_eq(told(run.arena, &b), told(run.arena, &a));
    cr_expect_lt(2 * strlen(text), strlen(whole), "%zu of %zu", strlen(text), strlen(whole));
    cr_expect_null(sieved(run.arena, dir, "report.json", strlen(text) - 1));
    cr_expect_eq(errno, EFBIG);
    for (size_t n = 0; n + 1 < strlen(whole); n += 1 + n / 60) { /* the last byte ends the line */
        const char *part = mr_printf(run.arena, "%s/part.json", run.dir);
        file_put(part, mr_strndup(run.arena, whole, n));
        const struct mr_former cut = mr_former_read(run.arena, sieved(run.arena, run.dir, "part.json", SIZE_MAX));
        cr_assert_not(cut.any, "broken off after %zu of %zu bytes", n, strlen(whole));
        remove(part);
    }
    run_end(&run);
}

/* Texts that hold what divides, keys that stand elsewhere too, lists and objects of nothing. */
#define TAIL                                                                                                         \
    "\",\"tables\":[7]},\"revision\":3,\"zones\":[{\"checks\":[{\"name\":\"}]\"}],\"name\":\"Deck \\\"1\\\\\","      \
    "\"film\":{\"readings\":15,\"name\":\"x\",\"mean_um\":210.5,\"min_um\":180},\"outcome\":\"conforms\","           \
    "\"more\":{}},{}],\"checks\":{\"outcome\":\"rows\"},\"tables\":[{\"id\":\"spots\",\"rows\":[[\"id\",{\"id\":"    \
    "\"non-conformances\"}]],\"fields\":[]},{\"id\":\"non-conformances\",\"title\":\"R\",\"fields\":[{\"key\":"      \
    "\"number\"},{\"key\":\"what\"}],\"rows\":[[\"N 1\",\"a, ]} \\\\\"],[\"N 2\",null]]},{\"rows\":[[\"N 3\"]],"     \
    "\"id\":\"x\"}],\"settings\":[{\"section\":\"s\",\"key\":\"id\",\"value\":\"[\"}],\"inputs\":[{\"path\":\"p\","  \
    "\"rows\":[1],\"sha256\":\"00\"}],\"outcome\":\"not shown\"}"

Test(former_sieve, pieces_may_end_anywhere) {
    enum { PIECE = 1 << 16 };
    struct run run = run_begin("job");
    const char *path = mr_printf(run.arena, "%s/r.json", run.dir);
    const struct mr_former want = mr_former_read(run.arena, "{\"job\":{\"a\":\"" TAIL);
    const char *text = told(run.arena, &want);
    cr_assert(want.zones.n == 2 && want.entries.n == 2 && want.settings.n == 1, "%s", text);
    char *fill = mr_alloc(run.arena, PIECE + 1, 1);
    for (size_t n = PIECE - strlen(TAIL) - 40; n < PIECE; n++) {
        memset(fill, 'x', n);
        fill[n] = '\0';
        struct mr_arena *own = mr_arena_new(NULL, NULL);
        file_put(path, mr_printf(own, "{\"job\":{\"a\":\"%s%s", fill, TAIL));
        const struct mr_former got = mr_former_read(own, sieved(own, run.dir, "r.json", SIZE_MAX));
        cr_assert_str_eq(told(own, &got), text, "after %zu", n);
        mr_arena_free(own);
        remove(path);
    }
    run_end(&run);
}
