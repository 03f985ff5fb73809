/*
 * unused_assignments.c - assignments of the job that no data answer to: one message for each instrument, with the
 * names that its files do have and the nearest of them.
 */
#include "align/align_state.h"

#include "base/keyfile.h"

#include <string.h>

enum { MOST_NAMES = 12, MOST_TOLD = 5 };

typedef MR_VEC(const char *) name_list;

static void add_name(struct mr_arena *arena, name_list *list, const char *name) {
    for (size_t i = 0; i < list->n; i++)
        if (strcmp(list->v[i], name) == 0)
            return;
    if (*name)
        MR_PUSH(arena, list, name);
}

/* "T1, T2, T3 and 4 more" */
static const char *joined(struct mr_arena *arena, const name_list *list, size_t most) {
    const char *text = "";
    for (size_t i = 0; i < list->n && i < most; i++)
        text = i == 0 ? list->v[0] : mr_printf(arena, "%s, %s", text, list->v[i]);
    return list->n <= most ? text : mr_printf(arena, "%s and %zu more", text, list->n - most);
}

/* Names that files have: channels of a clock, or all instruments where clock is MR_NONE. */
static name_list existing_names(struct mr_align_state *st, size_t clock) {
    name_list list = {0};
    for (size_t i = 0; i < st->out->tracks.n; i++) {
        const struct mr_track *t = &st->out->tracks.v[i];
        if (clock == MR_NONE || t->clock == clock)
            add_name(st->arena, &list, clock == MR_NONE ? t->instrument : t->channel);
    }
    return list;
}

static const char *advice(struct mr_align_state *st, size_t clock, const name_list *wanted) {
    name_list names = existing_names(st, clock);
    const char *things = clock == MR_NONE ? "instruments" : "channels";
    if (!names.n)
        return mr_printf(st->arena, "No file names its %s; `milrise explain FILE` shows what each file holds.",
                         things);
    const char *near = mr_nearest(wanted->v[0], names.v, names.n);
    const char *nearest = near ? mr_printf(st->arena, " The nearest to \"%s\" is \"%s\".", wanted->v[0], near) : "";
    return mr_printf(st->arena, "The %s in the files are: %s.%s Correct the name in the job file.", things,
                     joined(st->arena, &names, MOST_NAMES), nearest);
}

static void tell_instrument(struct mr_align_state *st, size_t first, bool *told) {
    const struct mr_spell *s = &st->spells.v[first];
    const char *instrument = st->job->assignments.v[first].instrument;
    name_list wanted = {0};
    size_t n = 0;
    for (size_t i = first; i < st->spells.n; i++) {
        if (st->spells.v[i].used || strcmp(st->job->assignments.v[i].instrument, instrument) != 0)
            continue;
        told[i] = true;
        n++;
        add_name(st->arena, &wanted, s->clock == MR_NONE ? instrument : st->spells.v[i].channel);
    }
    if (!wanted.n)
        add_name(st->arena, &wanted, instrument);
    const char *often = n > 1 ? mr_printf(st->arena, " (%zu assignments)", n) : "";
    const char *what = s->clock == MR_NONE ? "no file comes from this instrument"
                                           : mr_printf(st->arena, "the files of %s hold no such channel", instrument);
    mr_diag_add(st->diags, MR_WARNING, "assignment-unused", s->place, joined(st->arena, &wanted, MOST_TOLD),
                advice(st, s->clock, &wanted), "%s%s", what, often);
}

void mr_align_tell_unused(struct mr_align_state *st) {
    bool *told = MR_ARRAY(st->arena, bool, st->spells.n);
    for (size_t i = 0; i < st->spells.n; i++)
        if (!st->spells.v[i].used && !told[i])
            tell_instrument(st, i, told);
}
