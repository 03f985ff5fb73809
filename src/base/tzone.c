/*
 * tzone.c - the only user of GLib's GTimeZone. mktime and TZ are no choice: their state belongs to the whole process,
 * and an unknown zone silently becomes UTC. GDateTime hides gaps and folds. So the zone's intervals are copied once
 * into a plain table, and every conversion is our own: no lock, no reference count, and one addition in the common
 * case.
 *
 * GTimeZone tells which interval holds a moment but not where an interval begins; the borders are found by bisection,
 * to the second, the resolution of the zone data. Intervals that differ only in name or in the daylight flag are one
 * here.
 */
#include "base/tzone.h"
#include "base/text.h"

#include <glib.h>
#include <string.h>

/* 1900-01-01 and 2100-01-01 in seconds. */
static const int64_t first_s = -2208988800, last_s = 4102444800;

/* GLib would also take paths, and rule texts such as "ABC5" that hide a slip of the pen. */
static bool plausible_name(const char *name) {
    static const char *const odd[] = {"EST5EDT", "CST6CDT", "MST7MDT", "PST8PDT", "GMT0", "GMT+0", "GMT-0"};
    if (!*name || strlen(name) > 64 || *name == '/' || strstr(name, ".."))
        return false;
    bool letter = false, digit = false;
    for (const char *p = name; *p; p++) {
        letter |= g_ascii_isalpha(*p);
        digit |= mr_is_digit(*p);
        if (!g_ascii_isalnum(*p) && !strchr("/_-+:", *p))
            return false;
    }
    for (size_t i = 0; i < MR_COUNT(odd); i++)
        if (strcmp(name, odd[i]) == 0)
            return true;
    return strchr(name, '/') || !(letter && digit);
}

static int interval_at(GTimeZone *zone, int64_t t_s) {
    return g_time_zone_find_interval(zone, G_TIME_TYPE_UNIVERSAL, t_s);
}

/* First second after lo_s whose interval is not that of lo_s; hi_s lies in another interval. */
static int64_t border(GTimeZone *zone, int64_t lo_s, int64_t hi_s) {
    int before = interval_at(zone, lo_s);
    while (hi_s - lo_s > 1) {
        int64_t mid = lo_s + (hi_s - lo_s) / 2;
        if (interval_at(zone, mid) == before)
            lo_s = mid;
        else
            hi_s = mid;
    }
    return hi_s;
}

/* Fills v with the zone's stretches; returns their number, 0 where they do not fit. */
static size_t stretches_of(GTimeZone *zone, struct mr_tz_stretch *v, size_t room) {
    size_t n = 0;
    int last = interval_at(zone, last_s);
    for (int64_t t_s = first_s;;) {
        int i = interval_at(zone, t_s);
        int64_t offset_ms = (int64_t)g_time_zone_get_offset(zone, i) * 1000;
        if (n == 0 || v[n - 1].offset_ms != offset_ms) {
            if (n == room)
                return 0;
            v[n] = (struct mr_tz_stretch){.t0_utc_ms = t_s * 1000, .offset_ms = offset_ms};
            const char *letters = g_time_zone_get_abbreviation(zone, i);
            memcpy(v[n].letters, letters, strnlen(letters, sizeof v[n].letters - 1));
            n++;
        }
        if (i == last)
            return n;
        t_s = border(zone, t_s, last_s);
    }
}

/* The library's object is gone before the arena is asked for anything, so running out of memory cannot leak it. */
enum mr_status mr_tzone_load(struct mr_arena *arena, const char *name, const struct mr_tzone **out) {
    struct mr_tz_stretch v[1024]; /* four times what the busiest zone needs */
    GTimeZone *zone = plausible_name(name) ? g_time_zone_new_identifier(name) : NULL;
    if (!zone)
        return MR_E_RANGE;
    size_t n = stretches_of(zone, v, MR_COUNT(v));
    g_time_zone_unref(zone);
    if (n == 0)
        return MR_E_RANGE;
    v[0].t0_utc_ms = INT64_MIN;
    struct mr_tz_stretch *kept = MR_ARRAY(arena, struct mr_tz_stretch, n);
    memcpy(kept, v, n * sizeof *kept);
    struct mr_tzone *made = MR_NEW(arena, struct mr_tzone);
    *made = (struct mr_tzone){.name = mr_strdup(arena, name), .n = n, .v = kept};
    *out = made;
    return MR_OK;
}

struct mr_tz_cursor mr_tz_cursor(const struct mr_tzone *zone) {
    return (struct mr_tz_cursor){.zone = zone};
}

/* Index of the stretch that holds a moment; the first one holds all before it. */
static size_t stretch_at(const struct mr_tzone *zone, int64_t t_utc_ms) {
    size_t lo = 0, hi = zone->n;
    while (hi - lo > 1) {
        size_t mid = lo + (hi - lo) / 2;
        if (zone->v[mid].t0_utc_ms <= t_utc_ms)
            lo = mid;
        else
            hi = mid;
    }
    return lo;
}

int64_t mr_tz_offset(const struct mr_tzone *zone, int64_t t_utc_ms) {
    return zone->v[stretch_at(zone, t_utc_ms)].offset_ms;
}

const char *mr_tz_letters(const struct mr_tzone *zone, int64_t t_utc_ms) {
    return zone->v[stretch_at(zone, t_utc_ms)].letters;
}

bool mr_tz_summer(const struct mr_tzone *zone, int64_t t_utc_ms) {
    size_t i = stretch_at(zone, t_utc_ms);
    int64_t own = zone->v[i].offset_ms;
    return (i > 0 && i + 1 < zone->n) && own > zone->v[i - 1].offset_ms && own > zone->v[i + 1].offset_ms;
}

/* Wall-clock times that stretch i alone shows: from where the stretch before has surely ended to where the next one
 * has not yet begun to show. */
static void remember(struct mr_tz_cursor *c, size_t i) {
    const struct mr_tzone *z = c->zone;
    int64_t offset = z->v[i].offset_ms;
    c->offset_ms = offset;
    c->lo_local_ms = INT64_MIN;
    c->hi_local_ms = INT64_MAX;
    if (i > 0) {
        int64_t before = z->v[i - 1].offset_ms;
        c->lo_local_ms = z->v[i].t0_utc_ms + (before > offset ? before : offset);
    }
    if (i + 1 < z->n) {
        int64_t after = z->v[i + 1].offset_ms;
        c->hi_local_ms = z->v[i + 1].t0_utc_ms + (after < offset ? after : offset);
    }
}

struct mr_tz_moment mr_tz_to_utc(struct mr_tz_cursor *c, int64_t t_local_ms) {
    if (t_local_ms >= c->lo_local_ms && t_local_ms < c->hi_local_ms) {
        int64_t t = t_local_ms - c->offset_ms;
        return (struct mr_tz_moment){MR_TZ_ONE, t, t};
    }
    /* No offset exceeds 16 h, so the candidates stand between the stretches of local - 16 h and local + 16 h. */
    const struct mr_tzone *z = c->zone;
    const int64_t reach_ms = 16 * 3600 * INT64_C(1000);
    size_t first = stretch_at(z, t_local_ms < INT64_MIN + reach_ms ? INT64_MIN : t_local_ms - reach_ms);
    size_t last = stretch_at(z, t_local_ms > INT64_MAX - reach_ms ? INT64_MAX : t_local_ms + reach_ms);
    struct mr_tz_moment out = {MR_TZ_GAP, 0, 0};
    size_t hits = 0;
    for (size_t i = first; i <= last; i++) {
        int64_t t = t_local_ms - z->v[i].offset_ms;
        bool begun = i == 0 || t >= z->v[i].t0_utc_ms;
        bool ended = i + 1 < z->n && t >= z->v[i + 1].t0_utc_ms;
        if (begun && !ended) {
            if (hits++ == 0) {
                out.first_utc_ms = t;
                remember(c, i);
            }
            out.last_utc_ms = t;
        } else if (hits == 0 && ended && i < last) {
            /* Perhaps a gap: this stretch is over, and unless the next one shows the time none does. */
            out.first_utc_ms = t;
            out.last_utc_ms = t_local_ms - z->v[i + 1].offset_ms;
        }
    }
    if (hits)
        out.fit = hits == 1 ? MR_TZ_ONE : MR_TZ_FOLD;
    return out;
}
