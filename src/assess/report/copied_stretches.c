/*
 * copied_stretches.c - a stretch of a log that stands under two dates. Weather, steel and pumps never repeat
 * themselves digit by digit, so one of the two was never recorded; which one, nobody can tell, and the coats that
 * stand on either are not shown.
 *
 * Runs of RUN samples are hashed by a sum that rolls along (M. O. Rabin, Fingerprinting by random polynomials, 1981,
 * from memory); only those whose hash ends in zeros are kept, so that long logs cost little and a copy, wherever it
 * begins, leaves the same marks twice. Two equal marks are followed to both sides, value by value, at one distance in
 * time. A stretch counts that holds LEAST samples and CHANGES of value: chance does not make these, a resting channel
 * does.
 */
#include "assess/finding/finding_text.h"
#include "numeric/stable_sort.h"

#include <string.h>

enum { RUN = 20, LEAST = 60, CHANGES = 40, MARKS_MOST = 1 << 18, FOLLOWED_MOST = 2000 };
static const int64_t APART_LEAST_MS =
    3600000; /* nearer than this it is one instrument's own repetition or two exports */
static const uint64_t BASE = 0x9E3779B97F4A7C15u;

struct mark {
    uint64_t hash;
    size_t track, at; /* at: the last sample of the run */
};
typedef MR_VEC(struct mark) mark_list;

/* Samples from_x.. of one track are those from_y.. of another, or of the same one at another time. */
struct copy {
    size_t x, from_x, y, from_y, n, changes;
};
typedef MR_VEC(struct copy) copy_list;

static const struct copied_kind {
    enum mr_meaning meaning;
    enum mr_setting_id required, lead, cure; /* lead, cure: MR_SETTING_COUNT where there is none */
    const char *id, *group;
} kinds[] = {
    {MR_M_AIR, MR_CLIMATE_REQUIRED, MR_CLIMATE_LEAD, MR_CLIMATE_CURE, "climate.copied", "climate"},
    {MR_M_RH, MR_CLIMATE_REQUIRED, MR_CLIMATE_LEAD, MR_CLIMATE_CURE, "climate.copied", "climate"},
    {MR_M_STEEL, MR_CLIMATE_REQUIRED, MR_CLIMATE_LEAD, MR_CLIMATE_CURE, "climate.copied", "climate"},
    {MR_M_DEW, MR_CLIMATE_REQUIRED, MR_CLIMATE_LEAD, MR_CLIMATE_CURE, "climate.copied", "climate"},
    {MR_M_PROBE_TEMP, MR_REACTION_REQUIRED, MR_SETTING_COUNT, MR_SETTING_COUNT, "reaction.copied", "reaction"},
    {MR_M_LINE_A, MR_LINES_REQUIRED, MR_SETTING_COUNT, MR_SETTING_COUNT, "lines.copied", "lines"},
    {MR_M_LINE_B, MR_LINES_REQUIRED, MR_SETTING_COUNT, MR_SETTING_COUNT, "lines.copied", "lines"},
    {MR_M_MAIN, MR_LINES_REQUIRED, MR_SETTING_COUNT, MR_SETTING_COUNT, "lines.copied", "lines"},
};

static const struct copied_kind *kind_of(const struct mr_track *track) {
    for (size_t i = 0; i < MR_COUNT(kinds); i++)
        if (kinds[i].meaning == track->meaning)
            return &kinds[i];
    return NULL;
}

/* --- marks ------------------------------------------------------------------------------------------- */

static uint64_t bits_of(double value) {
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    return (bits ^ (bits >> 29)) * 0xBF58476D1CE4E5B9u;
}

static void mark_track(struct mr_assess *a, size_t which, uint64_t mask, mark_list *marks) {
    const struct mr_track *track = &a->aligned->tracks.v[which];
    uint64_t ring[RUN] = {0}, sum = 0, drop = 1, moved = 0;
    size_t changes = 0;
    for (size_t i = 0; i < RUN; i++)
        drop *= BASE;
    for (size_t i = 0; i < track->n; i++) {
        const uint64_t now = bits_of(mr_track_value(track, i)), out = ring[i % RUN];
        const uint64_t changed = i > 0 && now != ring[(i + RUN - 1) % RUN];
        changes += changed - (moved >> (RUN - 1) & 1);
        moved = moved << 1 | changed;
        sum = sum * BASE + now - out * drop;
        ring[i % RUN] = now;
        const uint64_t hash = sum ^ (sum >> 31) ^ (uint64_t)track->meaning * BASE;
        if (i + 1 < RUN || (hash & mask) != 0 || changes < RUN / 4)
            continue;
        struct mark m = {hash, which, i};
        MR_PUSH(mr_work(a), marks, m);
    }
}

static int order_marks(const void *a, const void *b) {
    const struct mark *x = a, *y = b;
    return x->hash != y->hash     ? MR_ORDER(x->hash, y->hash)
           : x->track != y->track ? MR_ORDER(x->track, y->track)
                                  : MR_ORDER(x->at, y->at);
}

static mark_list marks_of(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    mark_list marks = {0};
    uint64_t samples = 0, mask = 7;
    for (size_t i = 0; i < al->tracks.n; i++)
        samples += kind_of(&al->tracks.v[i]) ? al->tracks.v[i].n : 0;
    while (samples / (mask + 1) > MARKS_MOST)
        mask = mask << 1 | 1;
    for (size_t i = 0; i < al->tracks.n; i++)
        if (kind_of(&al->tracks.v[i]))
            mark_track(a, i, mask, &marks);
    mr_sort_stable(mr_work(a), marks.v, marks.n, sizeof *marks.v, order_marks);
    return marks;
}

/* --- copies ------------------------------------------------------------------------------------------ */

static bool same_sample(const struct mr_track *x, size_t i, const struct mr_track *y, size_t j, int64_t apart_ms) {
    return bits_of(mr_track_value(x, i)) == bits_of(mr_track_value(y, j)) &&
           mr_track_ms(y, j) - mr_track_ms(x, i) == apart_ms;
}

static struct copy follow(const struct mr_alignment *al, const struct mark *m, const struct mark *o) {
    const struct mr_track *x = &al->tracks.v[m->track], *y = &al->tracks.v[o->track];
    const int64_t apart = mr_track_ms(y, o->at) - mr_track_ms(x, m->at);
    struct copy c = {.x = m->track, .from_x = m->at, .y = o->track, .from_y = o->at};
    while (c.from_x > 0 && c.from_y > 0 && same_sample(x, c.from_x - 1, y, c.from_y - 1, apart)) {
        c.from_x--;
        c.from_y--;
    }
    while (c.from_x + c.n < x->n && c.from_y + c.n < y->n &&
           same_sample(x, c.from_x + c.n, y, c.from_y + c.n, apart)) {
        c.changes +=
            c.n > 0 && bits_of(mr_track_value(x, c.from_x + c.n)) != bits_of(mr_track_value(x, c.from_x + c.n - 1));
        c.n++;
    }
    return c;
}

static bool is_followed(const copy_list *list, const struct mark *m, const struct mark *o) {
    for (size_t i = list->n; i-- > 0;) {
        const struct copy *c = &list->v[i];
        if (c->x == m->track && c->y == o->track && m->at >= c->from_x && m->at < c->from_x + c->n &&
            o->at - c->from_y == m->at - c->from_x)
            return true;
    }
    return false;
}

static copy_list copies_of(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    const mark_list marks = marks_of(a);
    copy_list followed = {0}, copies = {0};
    for (size_t i = 1; i < marks.n && followed.n < FOLLOWED_MOST; i++) {
        const struct mark *m = &marks.v[i - 1], *o = &marks.v[i];
        const struct mr_track *x = &al->tracks.v[m->track], *y = &al->tracks.v[o->track];
        const int64_t apart = mr_track_ms(y, o->at) - mr_track_ms(x, m->at);
        if (m->hash != o->hash || x->meaning != y->meaning || (apart < APART_LEAST_MS && apart > -APART_LEAST_MS) ||
            is_followed(&followed, m, o))
            continue;
        const struct copy c = follow(al, m, o);
        MR_PUSH(mr_work(a), &followed, c);
        const bool overlaps = c.x == c.y && c.from_x + c.n > c.from_y && c.from_y + c.n > c.from_x;
        if (c.n >= LEAST && c.changes >= CHANGES && !overlaps)
            MR_PUSH(mr_work(a), &copies, c);
    }
    return copies;
}

/* --- what they leave open ---------------------------------------------------------------------------- */

/* Either side of a copy, as a stretch of a track. */
struct side {
    const struct mr_track *track;
    size_t from;
    int64_t t0_ms, t1_ms;
};

static struct side side_of(const struct mr_alignment *al, const struct copy *c, bool second) {
    const struct mr_track *t = &al->tracks.v[second ? c->y : c->x];
    const size_t from = second ? c->from_y : c->from_x;
    return (struct side){t, from, mr_track_ms(t, from), mr_track_ms(t, from + c->n - 1)};
}

static int64_t spare_ms(const struct mr_settings *s, enum mr_setting_id id) {
    return id == MR_SETTING_COUNT ? 0 : mr_setting_ms(s, id);
}

static bool serves(const struct copied_kind *kind, const struct side *s, const struct mr_settings *set,
                   const struct mr_window *w) {
    return mr_track_rank(s->track, w->zone, w->t0_utc_ms) > 0 &&
           s->t0_ms <= w->t1_utc_ms + spare_ms(set, kind->cure) &&
           s->t1_ms >= w->t0_utc_ms - spare_ms(set, kind->lead);
}

/* One check for each coat and group that stands on a copy. */
static void leave_open(struct mr_assess *a, const copy_list *copies, const char *id) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        const struct mr_settings *set = w->zone < al->zones.n ? al->zones.v[w->zone].settings : NULL;
        const struct copied_kind *found = NULL;
        mr_evidence_list evidence = {0};
        for (size_t k = 0; set && k < copies->n; k++)
            for (int second = 0; second < 2; second++) {
                const struct side s = side_of(al, &copies->v[k], second != 0);
                const struct copied_kind *kind = kind_of(s.track);
                if (!kind || strcmp(kind->id, id) != 0 || !mr_set_flag(set, kind->required) ||
                    !serves(kind, &s, set, w))
                    continue;
                found = kind;
                mr_evidence_track(a, &evidence, s.track, s.t0_ms, s.t1_ms, "values that stand under two dates");
            }
        if (!found)
            continue;
        struct mr_check c =
            mr_blank_check(found->id, "Values that stand under two dates", found->group, w->zone, w->coat);
        c.outcome = MR_NOT_SHOWN;
        c.rule = "no stretch of a log stands under two dates";
        c.source = MR_SRC_PD;
        c.detail = "The log of this coat holds, value by value, what it holds at another time.";
        c.evidence = evidence;
        mr_add_check(a, &c);
    }
}

/* Channels of one pair of files over one distance are one finding: the longest in words. */
static bool is_told(const struct mr_alignment *al, const copy_list *copies, size_t i) {
    const struct side x = side_of(al, &copies->v[i], false), y = side_of(al, &copies->v[i], true);
    for (size_t k = 0; k < i; k++) {
        const struct side p = side_of(al, &copies->v[k], false), q = side_of(al, &copies->v[k], true);
        if (p.track->clock == x.track->clock && q.track->clock == y.track->clock && p.t0_ms <= x.t1_ms &&
            p.t1_ms >= x.t0_ms && q.t0_ms <= y.t1_ms && q.t1_ms >= y.t0_ms)
            return true;
    }
    return false;
}

static void tell(struct mr_assess *a, const struct copy *c) {
    struct side x = side_of(a->aligned, c, false), y = side_of(a->aligned, c, true);
    if (y.t0_ms < x.t0_ms) {
        const struct side later = x;
        x = y;
        y = later;
    }
    struct mr_finding f = mr_blank_finding("copied-stretch", MR_WARNING, MR_NONE, 0);
    f.t0_utc_ms = y.t0_ms;
    f.t1_utc_ms = y.t1_ms;
    f.measured = (double)c->n;
    f.rule = "no stretch of a log stands under two dates";
    f.source = MR_SRC_PD;
    f.what =
        mr_printf(a->arena, "%s, %s: %zu samples are, value by value, those of %s: one of the two was not recorded.",
                  mr_track_place(a->aligned, y.track, y.from).file, mr_span_text(a, y.t0_ms, y.t1_ms), c->n,
                  mr_span_text(a, x.t0_ms, x.t1_ms));
    f.next_step = "Export both days from the logger's memory again, and take the copy out.";
    mr_evidence_track(a, &f.evidence, x.track, x.t0_ms, x.t1_ms, "these values");
    mr_evidence_track(a, &f.evidence, y.track, y.t0_ms, y.t1_ms, "the same values again");
    mr_add_finding(a, &f);
}

void mr_assess_copied_stretches(struct mr_assess *a) {
    const copy_list copies = copies_of(a);
    for (size_t i = 0; i < copies.n; i++)
        if (!is_told(a->aligned, &copies, i))
            tell(a, &copies.v[i]);
    if (copies.n == 0)
        return;
    leave_open(a, &copies, "climate.copied");
    leave_open(a, &copies, "reaction.copied");
    leave_open(a, &copies, "lines.copied");
}
