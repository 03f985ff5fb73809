/*
 * exchanges.c - two loggers, or two channels, whose places were mixed up: the heat of each shows in the windows of
 * the other's zones.
 *
 * Loggers are exchanged channel by channel, so their channels of one name are weighed together; then single channels.
 * Asked are only probes that fit at most half of their coats as given. An exchange is better where it fits at least
 * two coats more, twice as many as given, and three quarters of those that the records cover: the thresholds are a
 * project decision, with their rate of false alarms in tests/property.
 */
#include "align/hypotheses.h"

#include <string.h>

enum { LEAST_GAIN = 2, LEAST_GAIN_LOGGERS = 3, MOST_CHANNELS = 12 };

struct placed_probe {
    size_t track;
    struct mr_fit_count own;
    bool misfit, used;
};
typedef MR_VEC(struct placed_probe) probe_list;

struct track_pair {
    size_t first, second;
};

/* What an exchange makes of the coats. */
struct swap_count {
    size_t fits, given, seen;
};

static probe_list probes_of(struct mr_align_state *st, const struct mr_coat_events *e) {
    probe_list list = {0};
    for (size_t i = 0; i < st->out->tracks.n; i++) {
        const struct mr_track *t = &st->out->tracks.v[i];
        if (t->meaning != MR_M_PROBE_TEMP || !t->stays.n)
            continue;
        struct placed_probe p = {.track = i, .own = mr_channel_fits(st, e, i, i)};
        p.misfit = p.own.seen > 0 && 2 * p.own.fits <= p.own.seen;
        MR_PUSH(st->arena, &list, p);
    }
    return list;
}

static void add_swap(const struct mr_align_state *st, const struct mr_coat_events *e, const struct placed_probe *a,
                     const struct placed_probe *b, struct swap_count *n) {
    struct mr_fit_count ab = mr_channel_fits(st, e, a->track, b->track),
                        ba = mr_channel_fits(st, e, b->track, a->track);
    n->fits += ab.fits + ba.fits;
    n->seen += ab.seen + ba.seen;
    n->given += a->own.fits + b->own.fits;
}

static bool is_better(const struct swap_count *n) {
    return n->fits >= n->given + LEAST_GAIN && n->fits >= 2 * n->given && 4 * n->fits >= 3 * n->seen;
}

/* --- what is said ------------------------------------------------------------------------------------ */

/* Zones in which a coat was sprayed while the track stood there. */
static void mark_zones(struct mr_align_state *st, const struct mr_coat_events *e, size_t track, bool *zones) {
    for (size_t c = 0; c < e->coats.n; c++) {
        const struct mr_window *w = e->coats.v[c];
        int64_t middle = w->t0_utc_ms + (w->t1_utc_ms - w->t0_utc_ms) / 2;
        if (mr_track_zone(st->out, &st->out->tracks.v[track], middle, NULL, NULL) == w->zone)
            zones[w->zone] = true;
    }
}

/* "2026-05-11 07:15", as an assignment writes it. */
static const char *moment(struct mr_align_state *st, int64_t t_utc_ms) {
    return mr_strndup(st->arena, mr_local_text(st->arena, st->out, t_utc_ms), 16);
}

/* The lines that put a channel where another track stands. */
static const char *place_lines(struct mr_align_state *st, const struct mr_track *channel, const struct mr_track *as) {
    const char *text = "";
    for (size_t i = 0; i < as->stays.n; i++) {
        const struct mr_stay *s = &as->stays.v[i];
        const char *zone = s->gun ? "gun" : s->zone < st->out->zones.n ? st->out->zones.v[s->zone].name : "";
        const char *span =
            s->t0_utc_ms == INT64_MIN || s->t1_utc_ms == INT64_MAX
                ? ""
                : mr_printf(st->arena, ", %s .. %s", moment(st, s->t0_utc_ms), moment(st, s->t1_utc_ms));
        if (*zone)
            text = mr_printf(st->arena, "%s\n%s = %s%s", text, channel->channel, zone, span);
    }
    return text;
}

static const char *paste_lines(struct mr_align_state *st, const struct track_pair *pair, size_t n) {
    const struct mr_track *tracks = st->out->tracks.v;
    const char *first = "", *second = "";
    for (size_t i = 0; i < n && i < MOST_CHANNELS; i++) {
        first = mr_printf(st->arena, "%s%s", first, place_lines(st, &tracks[pair[i].first], &tracks[pair[i].second]));
        second =
            mr_printf(st->arena, "%s%s", second, place_lines(st, &tracks[pair[i].second], &tracks[pair[i].first]));
    }
    const char *a = tracks[pair[0].first].instrument, *b = tracks[pair[0].second].instrument;
    if (strcmp(a, b) == 0)
        return mr_printf(st->arena, "[assign \"%s\"]%s%s", a, first, second);
    return mr_printf(st->arena, "[assign \"%s\"]%s\n[assign \"%s\"]%s", a, first, b, second);
}

static const char *names_of_pair(struct mr_align_state *st, const struct mr_track *a, const struct mr_track *b) {
    if (strcmp(a->instrument, b->instrument) == 0)
        return mr_printf(st->arena, "the channels %s and %s of %s", a->channel, b->channel, a->instrument);
    return mr_printf(st->arena, "channel %s of %s and channel %s of %s", a->channel, a->instrument, b->channel,
                     b->instrument);
}

static void doubt(struct mr_align_state *st, const struct mr_coat_events *e, enum mr_doubt_kind kind,
                  const struct track_pair *pair, size_t n, const struct swap_count *count) {
    const struct mr_track *a = &st->out->tracks.v[pair[0].first], *b = &st->out->tracks.v[pair[0].second];
    bool *zones = MR_ARRAY(st->arena, bool, st->out->zones.n);
    struct mr_clock_doubt d = {.kind = kind,
                               .clock = MR_NONE,
                               .looks = "exchanged",
                               .fits = count->fits,
                               .fits_given = count->given,
                               .seen = count->seen,
                               .zones = zones};
    d.who = kind == MR_DOUBT_LOGGERS ? mr_printf(st->arena, "the loggers %s and %s", a->instrument, b->instrument)
                                     : names_of_pair(st, a, b);
    d.paste = paste_lines(st, pair, n);
    for (size_t i = 0; i < n; i++) {
        mark_zones(st, e, pair[i].first, zones);
        mark_zones(st, e, pair[i].second, zones);
    }
    mr_doubt_files(st, &d, a->clock);
    if (b->clock != a->clock)
        mr_doubt_files(st, &d, b->clock);
    MR_PUSH(st->arena, &st->out->doubts, d);
}

/* --- loggers, then channels ---------------------------------------------------------------------------- */

static size_t probes_on(const struct mr_align_state *st, const probe_list *list, size_t clock) {
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++)
        n += st->out->tracks.v[list->v[i].track].clock == clock;
    return n;
}

/* Whether two probes of different loggers would change places with their loggers. */
static bool answer_each_other(const struct mr_align_state *st, const probe_list *list, const struct placed_probe *a,
                              const struct placed_probe *b) {
    const struct mr_track *x = &st->out->tracks.v[a->track], *y = &st->out->tracks.v[b->track];
    bool alone = probes_on(st, list, x->clock) == 1 && probes_on(st, list, y->clock) == 1;
    return x->clock != y->clock && (alone || strcmp(x->channel, y->channel) == 0);
}

static bool weigh_loggers(struct mr_align_state *st, const struct mr_coat_events *e, probe_list *list, size_t one,
                          size_t other, size_t rival) {
    struct track_pair *pair = MR_ARRAY(st->arena, struct track_pair, list->n);
    size_t n = 0;
    struct swap_count count = {0};
    for (size_t i = 0; i < list->n; i++)
        for (size_t k = 0; k < list->n; k++) {
            const struct placed_probe *a = &list->v[i], *b = &list->v[k];
            if (st->out->tracks.v[a->track].clock != one || st->out->tracks.v[b->track].clock != other ||
                !(a->misfit || b->misfit) || a->used || b->used || !answer_each_other(st, list, a, b))
                continue;
            pair[n++] = (struct track_pair){a->track, b->track};
            add_swap(st, e, a, b, &count);
        }
    bool better = n && count.fits >= count.given + LEAST_GAIN_LOGGERS && count.fits >= 2 * count.given &&
                  2 * count.fits >= count.seen && 4 * count.fits >= 3 * rival;
    if (better)
        doubt(st, e, MR_DOUBT_LOGGERS, pair, n, &count);
    for (size_t i = 0; i < list->n && better; i++)
        for (size_t k = 0; k < n; k++)
            list->v[i].used |= list->v[i].track == pair[k].first || list->v[i].track == pair[k].second;
    return better;
}

/* The best partner of a misfit that fits better with it than as given. */
static void weigh_channel(struct mr_align_state *st, const struct mr_coat_events *e, probe_list *list, size_t i) {
    size_t best = MR_NONE;
    struct swap_count most = {0};
    for (size_t k = i + 1; k < list->n; k++) {
        struct swap_count count = {0};
        if (!list->v[k].misfit || list->v[k].used)
            continue;
        add_swap(st, e, &list->v[i], &list->v[k], &count);
        if (!is_better(&count) || (best != MR_NONE && count.fits <= most.fits))
            continue;
        best = k;
        most = count;
    }
    if (best == MR_NONE)
        return;
    const struct track_pair pair = {list->v[i].track, list->v[best].track};
    doubt(st, e, MR_DOUBT_CHANNELS, &pair, 1, &most);
    list->v[i].used = list->v[best].used = true;
}

const bool *mr_align_doubt_loggers(struct mr_align_state *st, const struct mr_coat_events *e,
                                   const struct mr_fit_count *best) {
    bool *explained = MR_ARRAY(st->arena, bool, st->out->clocks.n);
    probe_list list = probes_of(st, e);
    for (size_t one = 0; one < st->out->clocks.n; one++)
        for (size_t other = one + 1; other < st->out->clocks.n; other++) {
            size_t rival = best[one].fits + best[other].fits;
            if (probes_on(st, &list, one) && probes_on(st, &list, other) &&
                weigh_loggers(st, e, &list, one, other, rival))
                explained[one] = explained[other] = true;
        }
    return explained;
}

/* Whether an exchange of loggers, or a clock that is off, explains the misfits of a track already. */
static bool is_explained(struct mr_align_state *st, const struct mr_coat_events *e, size_t track) {
    if (mr_clock_is_doubted(st, st->out->tracks.v[track].clock))
        return true;
    bool *zones = MR_ARRAY(st->arena, bool, st->out->zones.n), explained = false;
    mark_zones(st, e, track, zones);
    for (size_t i = 0; i < st->out->doubts.n; i++)
        for (size_t z = 0; z < st->out->zones.n && st->out->doubts.v[i].zones; z++)
            explained |= zones[z] && st->out->doubts.v[i].zones[z];
    return explained;
}

void mr_align_doubt_channels(struct mr_align_state *st) {
    const struct mr_coat_events e = mr_coat_events(st);
    probe_list list = probes_of(st, &e);
    for (size_t i = 0; i < list.n; i++)
        list.v[i].used = is_explained(st, &e, list.v[i].track);
    for (size_t i = 0; i < list.n; i++)
        if (list.v[i].misfit && !list.v[i].used)
            weigh_channel(st, &e, &list, i);
}
