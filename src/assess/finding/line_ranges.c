/*
 * line_ranges.c - see line_ranges.h.
 */
#include "assess/finding/line_ranges.h"

#include "numeric/stable_sort.h"

static int by_place(const void *a, const void *b) {
    const struct mr_line *x = a, *y = b;
    return x->file != y->file ? MR_ORDER(x->file, y->file) : MR_ORDER(x->line, y->line);
}

struct mr_place mr_line_place(const struct mr_assess *a, uint32_t file, uint32_t line) {
    return (struct mr_place){.file = a->aligned->data->files.v[file].source->path, .line = line};
}

/* The range that begins at *i; *i moves past it. Blank or set-aside rows between end a range. */
static struct mr_place next_range(const struct mr_assess *a, const struct mr_line *lines, size_t n, size_t *i) {
    struct mr_line first = lines[*i], last = first;
    for (++*i; *i < n && lines[*i].file == first.file && lines[*i].line <= last.line + 1; ++*i)
        last = lines[*i];
    struct mr_place place = mr_line_place(a, first.file, first.line);
    place.line_end = last.line > first.line ? last.line : 0;
    return place;
}

static size_t count_ranges(const struct mr_assess *a, const struct mr_line *lines, size_t n) {
    size_t ranges = 0;
    for (size_t i = 0; i < n; ranges++)
        next_range(a, lines, n, &i);
    return ranges;
}

void mr_add_lines(struct mr_assess *a, mr_evidence_list *list, struct mr_line *lines, size_t n, size_t most,
                  const char *note) {
    mr_sort_stable(mr_work(a), lines, n, sizeof *lines, by_place);
    size_t ranges = count_ranges(a, lines, n), named = 0;
    most = most ? most : 40;
    for (size_t i = 0; i < n && named < most;) {
        struct mr_place place = next_range(a, lines, n, &i);
        named++;
        bool cut = named == most && ranges > most;
        mr_add_evidence(a, list, place,
                        cut ? mr_printf(a->arena, "%s; and %zu further places", note ? note : "", ranges - most)
                            : note);
    }
}

const char *mr_lines_text(struct mr_assess *a, struct mr_line *lines, size_t n, size_t most) {
    mr_sort_stable(mr_work(a), lines, n, sizeof *lines, by_place);
    struct mr_arena *work = mr_work(a);
    const char *text = "", *file = NULL;
    size_t ranges = count_ranges(a, lines, n), named = 0;
    for (size_t i = 0; i < n && named < most; named++) {
        struct mr_place p = next_range(a, lines, n, &i);
        const char *where = p.line_end ? mr_printf(work, "%u-%u", p.line, p.line_end) : mr_printf(work, "%u", p.line);
        if (p.file == file)
            text = mr_printf(work, "%s, %s", text, where);
        else
            text = mr_printf(work, "%s%s%s:%s", text, *text ? "; " : "", p.file, where);
        file = p.file;
    }
    return ranges > named ? mr_printf(a->arena, "%s and %zu more", text, ranges - named) : mr_strdup(a->arena, text);
}
