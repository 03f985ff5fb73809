/*
 * chart_list.c - a job's charts and their file names.
 */
#include "render/plot/chart_list.h"

#include "base/text.h"
#include "milrise/diag.h"

#include <string.h>

enum { SLUG_BYTES = 48, ALT_BYTES = 1000 };

const char *mr_slug(struct mr_arena *arena, const char *name) {
    char text[SLUG_BYTES + 1];
    size_t n = 0;
    for (const char *p = name; *p && n < SLUG_BYTES; p++) {
        char c = *p;
        if (c >= 'A' && c <= 'Z')
            c = (char)(c - 'A' + 'a');
        if ((c >= 'a' && c <= 'z') || mr_is_digit(c))
            text[n++] = c;
        else if (n > 0 && text[n - 1] != '-')
            text[n++] = '-';
    }
    while (n > 0 && text[n - 1] == '-')
        n--;
    return n ? mr_strndup(arena, text, n) : "x";
}

static bool taken(const mr_chart_list *list, const char *stem) {
    for (size_t i = 0; i < list->n; i++)
        if (strcmp(list->v[i].stem, stem) == 0)
            return true;
    return false;
}

void mr_chart_add(const struct mr_chart_job *job, mr_chart_list *out, struct mr_chart chart, const char *stem) {
    chart.stem = stem;
    for (unsigned i = 2; taken(out, chart.stem); i++)
        chart.stem = mr_printf(job->arena, "%s-%u", stem, i);
    chart.title = chart.title ? chart.title : chart.list->title;
    chart.list->desc = mr_clean_text(job->arena, chart.alt, strlen(chart.alt), ALT_BYTES);
    MR_PUSH(job->arena, out, chart);
}
