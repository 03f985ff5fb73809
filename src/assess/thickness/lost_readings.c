/*
 * lost_readings.c - readings that a gauge took and did not show (over range, blank, dashes, a time that does not
 * exist) keep their place: where spots go by order, those after them do not move up.
 *
 * Such rows were set aside before; their lines say between which readings they stood. Between two stretches (another
 * zone or area) they first fill the spot that is still open there.
 */
#include "assess/thickness/thickness.h"

#include "numeric/stable_sort.h"

#include <math.h>
#include <string.h>

static int by_line(const void *a, const void *b) {
    const struct mr_placed *x = *(const struct mr_placed *const *)a, *y = *(const struct mr_placed *const *)b;
    int order = MR_ORDER(x->reading->file, y->reading->file);
    return order ? order : MR_ORDER(x->reading->line, y->reading->line);
}

static bool keeps_its_place(enum mr_aside why) {
    return why == MR_ASIDE_NO_VALUE || why == MR_ASIDE_BOUND || why == MR_ASIDE_OUT_OF_RANGE ||
           why == MR_ASIDE_BAD_NUMBER;
}

/* Lost rows between two lines of a file; *run moves on. */
static size_t lost_between(const struct mr_account *account, size_t *run, uint32_t after, uint32_t before) {
    size_t lost = 0;
    for (; *run < account->runs.n && account->runs.v[*run].line < before; ++*run) {
        const struct mr_aside_run *r = &account->runs.v[*run];
        if (keeps_its_place(r->why) && r->line > after)
            lost += (size_t)r->rows;
    }
    return lost;
}

/* Rows of several readings make whole spots where as many columns stand in them as a spot has readings. */
static size_t missing_in_row(const struct mr_placed *const *order, size_t begin, size_t end, size_t per_spot) {
    size_t widest = 0, last = 0;
    for (size_t i = begin; i < end; i++) {
        last = i > begin && order[i]->reading->line == order[i - 1]->reading->line ? last + 1 : 1;
        widest = last > widest ? last : widest;
    }
    return widest == per_spot && per_spot > 1 ? per_spot : 0;
}

static bool same_stretch(const struct mr_reading *a, const struct mr_reading *b) {
    return strcmp(a->zone, b->zone) == 0 && strcmp(a->area, b->area) == 0;
}

static size_t per_spot_at(const struct mr_alignment *al, const struct mr_placed *p) {
    const struct mr_settings *set = p->zone < al->zones.n ? al->zones.v[p->zone].settings : &al->job->settings;
    return (size_t)fmax(1, mr_set_num(set, MR_DFT_GAGE_PER_SPOT));
}

static void one_file(const struct mr_alignment *al, const struct mr_placed *const *order, size_t begin, size_t end,
                     size_t *lost_before) {
    const struct mr_account *account = &al->data->files.v[order[begin]->reading->file].account;
    size_t run = 0, places = 0, pending = 0, wide = missing_in_row(order, begin, end, per_spot_at(al, order[begin]));
    const struct mr_placed *before = NULL;
    size_t in_row = 0;
    for (size_t i = begin; i < end; i++) {
        const struct mr_placed *p = order[i];
        bool same_row = before && before->reading->line == p->reading->line;
        pending += lost_between(account, &run, before ? before->reading->line : 0, p->reading->line);
        pending += !same_row && before && wide > in_row ? wide - in_row : 0;
        in_row = same_row ? in_row + 1 : 1;
        if (p->aside) {
            pending++;
            before = p;
            continue;
        }
        size_t per_spot = per_spot_at(al, p), open = before && places % per_spot ? per_spot - places % per_spot : 0;
        if (before && same_stretch(before->reading, p->reading)) {
            places += pending + 1;
        } else {
            pending -= pending < open ? pending : open;
            places = pending + 1;
        }
        lost_before[p - al->readings.v] = pending;
        pending = 0;
        before = p;
    }
}

size_t *mr_lost_readings(struct mr_arena *arena, const struct mr_alignment *al) {
    size_t n = al->readings.n, *lost_before = MR_ARRAY(arena, size_t, n);
    struct mr_arena *scratch = mr_arena_like(arena);
    const struct mr_placed **order = MR_ARRAY(scratch, const struct mr_placed *, n);
    for (size_t i = 0; i < n; i++)
        order[i] = &al->readings.v[i];
    mr_sort_stable(scratch, order, n, sizeof *order, by_line);
    for (size_t begin = 0, end; begin < n; begin = end) {
        for (end = begin; end < n && order[end]->reading->file == order[begin]->reading->file; end++)
            continue;
        one_file(al, order, begin, end, lost_before);
    }
    mr_arena_free(scratch);
    return lost_before;
}
