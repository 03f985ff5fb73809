/*
 * same_lines.c - two channels of a line logger that hold the same values at every moment: one signal exported twice
 * shows no imbalance whatever the other line did. Where the two lines are held against each other, coats in that time
 * are not shown to keep the limit.
 */
#include "assess/lines/lines.h"

#include <math.h>

enum { FEWEST = 20, CHANGES_LEAST = 5 };

/* Whether both hold the same values, and these change: a pump at rest reads the same on both. */
static bool hold_the_same(const struct mr_track *x, const struct mr_track *y) {
    size_t changes = 0;
    if (x->n != y->n || x->n < FEWEST)
        return false;
    for (size_t i = 0; i < x->n; i++) {
        if (mr_track_ms(x, i) != mr_track_ms(y, i) ||
            !(mr_track_value(x, i) <= mr_track_value(y, i) && mr_track_value(x, i) >= mr_track_value(y, i)))
            return false;
        changes +=
            i && (mr_track_value(x, i) < mr_track_value(x, i - 1) || mr_track_value(x, i) > mr_track_value(x, i - 1));
    }
    return changes >= CHANGES_LEAST;
}

static bool is_pressure(const struct mr_track *track) {
    return track->meaning == MR_M_LINE_A || track->meaning == MR_M_LINE_B || track->meaning == MR_M_MAIN;
}

/* The coats over which these two were to show the lines balanced. */
static void leave_open(struct mr_assess *a, const struct mr_track *x, const struct mr_track *y) {
    const struct mr_alignment *al = a->aligned;
    if ((x->meaning != MR_M_LINE_A || y->meaning != MR_M_LINE_B) &&
        (x->meaning != MR_M_LINE_B || y->meaning != MR_M_LINE_A))
        return;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        const struct mr_settings *set = w->zone < al->zones.n ? al->zones.v[w->zone].settings : NULL;
        if (!set || !mr_set_flag(set, MR_LINES_REQUIRED) || isnan(mr_set_num(set, MR_IMBALANCE_MAX)) ||
            !mr_track_rank(x, w->zone, w->t0_utc_ms) || w->t1_utc_ms < mr_track_ms(x, 0) ||
            w->t0_utc_ms > mr_track_ms(x, x->n - 1))
            continue;
        struct mr_check c =
            mr_blank_check("lines.same-signal", "Two signals of the lines", "lines", w->zone, w->coat);
        c.outcome = MR_NOT_SHOWN;
        c.measured = (double)x->n;
        c.rule = "two lines differ as two sensors do";
        c.source = MR_SRC_PD;
        c.detail = mr_printf(a->arena, "\"%s\" and \"%s\" hold one signal, which shows no imbalance.", x->channel,
                             y->channel);
        mr_evidence_track(a, &c.evidence, x, w->t0_utc_ms, w->t1_utc_ms, x->channel);
        mr_evidence_track(a, &c.evidence, y, w->t0_utc_ms, w->t1_utc_ms, y->channel);
        mr_add_check(a, &c);
    }
}

void mr_find_same_lines(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->tracks.n; i++)
        for (size_t k = i + 1; k < al->tracks.n; k++) {
            const struct mr_track *x = &al->tracks.v[i], *y = &al->tracks.v[k];
            if (x->clock != y->clock || !is_pressure(x) || !is_pressure(y) || x->meaning == y->meaning ||
                !hold_the_same(x, y))
                continue;
            struct mr_finding f = mr_blank_finding("same-lines", MR_WARNING, MR_NONE, 0);
            f.what =
                mr_printf(a->arena, "\"%s\" and \"%s\" of the line logger hold the same values in all %zu samples.",
                          x->channel, y->channel, x->n);
            f.measured = (double)x->n;
            f.rule = "two lines differ as two sensors do";
            f.source = MR_SRC_PD;
            f.next_step = "Check at the logger which signal each channel carries; if one was exported twice, export "
                          "the other, for one of them shows no imbalance of the lines.";
            mr_evidence_track(a, &f.evidence, x, mr_track_ms(x, 0), mr_track_ms(x, x->n - 1), x->channel);
            mr_evidence_track(a, &f.evidence, y, mr_track_ms(y, 0), mr_track_ms(y, y->n - 1), y->channel);
            mr_add_finding(a, &f);
            leave_open(a, x, y);
        }
}
