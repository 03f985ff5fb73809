/*
 * Laws of the joins on seeded jobs, and a plain, slow model that must agree with them.
 *
 * The digest holds what an alignment says without file names and lines, so that jobs that must mean the same compare
 * equal.
 */
#include "support/sim_align.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SEEDS = 12, READINGS = 120 };

static int by_text(const void *a, const void *b) {
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static const char *zone_name(const struct mr_alignment *a, size_t zone) {
    return zone < a->zones.n ? a->zones.v[zone].name : "-";
}

static uint64_t hash_more(uint64_t h, const void *data, size_t n) {
    for (size_t i = 0; i < n; i++)
        h = (h ^ ((const unsigned char *)data)[i]) * 1099511628211U;
    return h;
}

static char *digest(const struct fixture *f) {
    const struct mr_alignment *a = f->aligned;
    MR_VEC(char *) lines = {0};
    for (size_t i = 0; i < a->windows.n; i++) {
        const struct mr_window *w = &a->windows.v[i];
        MR_PUSH(f->arena, &lines,
                mr_printf(f->arena, "window %s %d %lld %lld %d %d %zu", zone_name(a, w->zone), w->coat,
                          (long long)w->t0_utc_ms, (long long)w->t1_utc_ms, w->found, w->overlaps, w->shift));
    }
    for (size_t i = 0; i < a->tracks.n; i++) {
        const struct mr_track *t = &a->tracks.v[i];
        uint64_t h = 14695981039346656037U;
        for (size_t k = 0; k < t->n; k++) {
            const int64_t at = mr_track_ms(t, k);
            const double value = mr_track_value(t, k);
            h = hash_more(hash_more(h, &at, sizeof at), &value, sizeof value);
        }
        MR_PUSH(f->arena, &lines,
                mr_printf(f->arena, "track %s %s %d %zu %016llx", t->instrument, t->channel, (int)t->meaning, t->n,
                          (unsigned long long)h));
    }
    for (size_t i = 0; i < a->readings.n; i++) {
        const struct mr_placed *p = &a->readings.v[i];
        MR_PUSH(f->arena, &lines,
                mr_printf(f->arena, "reading %.6f %lld %s %d %d %d %u %zu", p->reading->film_um,
                          (long long)p->t_utc_ms, zone_name(a, p->zone), (int)p->route, p->coat, (int)p->stage,
                          p->survey, p->window));
    }
    for (size_t i = 0; i < a->clocks.n; i++)
        if (a->clocks.v[i].estimated)
            MR_PUSH(f->arena, &lines,
                    mr_printf(f->arena, "clock %s %.3f %.3f %zu", a->clocks.v[i].instrument,
                              a->clocks.v[i].est_offset_s, a->clocks.v[i].est_spread_s, a->clocks.v[i].est_events));
    qsort(lines.v, lines.n, sizeof *lines.v, by_text);
    size_t n = 1;
    for (size_t i = 0; i < lines.n; i++)
        n += strlen(lines.v[i]) + 1;
    char *text = MR_ARRAY(f->arena, char, n), *p = text;
    for (size_t i = 0; i < lines.n; i++)
        p += sprintf(p, "%s\n", lines.v[i]);
    return text;
}

/* A job with readings of all routes: own zone, none; before, within and after windows. */
static uint32_t job(struct fixture *f, uint64_t seed, uint64_t *rng) {
    struct alignsim_plan plan = alignsim_plan(seed);
    plan.zones = 5;
    *rng = seed * 31 + 7;
    alignsim_make(f, &plan);
    fix_instrument(f, "G1");
    fix_assign(f, "G1", "", "Z1", "2026-05-12 18:00", "2026-05-12 19:00");
    uint32_t log = (uint32_t)f->data.files.n - 1;
    fix_spray(f, log, MR_ACTION_REPAIR, "Z2", "", fix_time("2026-05-12 15:00"), fix_time("2026-05-12 15:10"));
    uint32_t file = fix_file(f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "G1");
    for (int i = 0; i < READINGS; i++) {
        double s = alignsim_uniform(rng, 7 * 3600, 44 * 3600), own = alignsim_uniform(rng, 0, 1);
        const char *zone = own < 0.6 ? mr_printf(f->arena, "z-%02d", (int)alignsim_uniform(rng, 0, 5)) : "";
        fix_reading(f, file, zone, fix_time("2026-05-11 00:00") + (int64_t)s * 1000, 100 + i + own)->coat =
            own < 0.1 ? "2" : "";
    }
    return file;
}

static void expect_same(const char *a, const char *b, const char *what, int seed) {
    if (strcmp(a, b) == 0)
        return;
    size_t at = 0;
    while (a[at] && a[at] == b[at])
        at++;
    size_t from = at > 80 ? at - 80 : 0;
    cr_expect_fail("%s, seed %d:\n  %.200s\n  %.200s", what, seed, a + from, b + from);
}

Test(prop_align_join, a_shifted_clock_with_the_matching_offset_changes_nothing) {
    for (int seed = 1; seed <= SEEDS; seed++) {
        struct fixture f[2];
        uint64_t rng;
        for (int k = 0; k < 2; k++) {
            uint32_t dft = job(&f[k], (uint64_t)seed, &rng);
            int64_t shift_ms = k ? (seed - 6) * 97531 : 0;
            for (size_t i = 0; k && i < f[k].job.instruments.n; i++) {
                struct mr_instrument *inst = &f[k].job.instruments.v[i];
                if (strcmp(inst->name, "K1") == 0 || strcmp(inst->name, "G1") == 0) {
                    inst->offset_s = (double)shift_ms / 1000;
                    inst->offset_given = true;
                }
            }
            const int64_t *shared = NULL;
            for (size_t i = 0; k && i < f[k].data.channels.n; i++) {
                struct mr_channel *c = &f[k].data.channels.v[i];
                if (strcmp(f[k].data.files.v[c->file].instrument_name, "K1") != 0)
                    continue;
                int64_t *t = MR_ARRAY(f[k].arena, int64_t, c->n);
                for (size_t j = 0; j < c->n; j++)
                    t[j] = mr_whole(&c->t_ms, j) + (shared ? 0 : shift_ms);
                if (!shared)
                    shared = t;
                c->t_ms = (struct mr_wholes){.raw = shared};
            }
            for (size_t i = 0; i < f[k].data.readings.n; i++)
                if (f[k].data.readings.v[i].file == dft)
                    f[k].data.readings.v[i].t_ms += shift_ms;
            fix_align(&f[k]);
        }
        expect_same(digest(&f[0]), digest(&f[1]), "shift", seed);
        fix_free(&f[0]);
        fix_free(&f[1]);
    }
}

/* Channel c cut at random places into files; pieces in random order of files; rows of each piece rotated. */
static void scatter(struct fixture *f, uint64_t *rng) {
    size_t n_channels = f->data.channels.n;
    struct mr_channel *old = f->data.channels.v;
    f->data.channels.v = NULL;
    f->data.channels.n = f->data.channels.cap = 0;
    size_t pieces = 4;
    for (size_t p = 0; p < pieces; p++) {
        for (size_t i = 0; i < n_channels; i++) {
            size_t k = (p * 3 + 1) % pieces; /* files do not stand in order of time */
            size_t lo = old[i].n * k / pieces, hi = old[i].n * (k + 1) / pieces, n = hi - lo;
            size_t turn = p % 2 ? (size_t)alignsim_uniform(rng, 0, (double)n) : 0;
            const char *inst = f->data.files.v[old[i].file].instrument_name;
            int64_t *t = MR_ARRAY(f->arena, int64_t, n);
            double *v = MR_ARRAY(f->arena, double, n);
            for (size_t j = 0; j < n; j++) {
                t[j] = mr_whole(&old[i].t_ms, lo + (j + turn) % n);
                v[j] = mr_real(&old[i].value, lo + (j + turn) % n);
            }
            enum mr_kind kind = f->data.files.v[old[i].file].kind;
            uint32_t file = fix_file(f, mr_printf(f->arena, "piece %zu of %zu", p, i), kind, MR_TIME_LOCAL, inst);
            fix_channel(f, file, old[i].name, old[i].meaning, n, t, v, NULL);
        }
    }
}

static void shuffle(struct fixture *f, uint64_t *rng) {
    for (size_t i = f->data.readings.n; i > 1; i--) {
        size_t k = (size_t)alignsim_uniform(rng, 0, (double)i);
        struct mr_reading kept = f->data.readings.v[i - 1];
        f->data.readings.v[i - 1] = f->data.readings.v[k];
        f->data.readings.v[k] = kept;
    }
    for (size_t i = f->data.sprays.n; i > 1; i--) {
        size_t k = (size_t)alignsim_uniform(rng, 0, (double)i);
        struct mr_spray kept = f->data.sprays.v[i - 1];
        f->data.sprays.v[i - 1] = f->data.sprays.v[k];
        f->data.sprays.v[k] = kept;
    }
}

Test(prop_align_join, splitting_and_reordering_files_and_rows_changes_nothing) {
    for (int seed = 1; seed <= SEEDS; seed++) {
        struct fixture f[2];
        uint64_t rng;
        for (int k = 0; k < 2; k++) {
            job(&f[k], (uint64_t)seed, &rng);
            if (k) {
                scatter(&f[k], &rng);
                shuffle(&f[k], &rng);
            }
            fix_align(&f[k]);
        }
        expect_same(digest(&f[0]), digest(&f[1]), "scatter", seed);
        fix_free(&f[0]);
        fix_free(&f[1]);
    }
}

Test(prop_align_join, renaming_zones_by_alias_changes_nothing) {
    for (int seed = 1; seed <= SEEDS; seed++) {
        struct fixture f[2];
        uint64_t rng;
        for (int k = 0; k < 2; k++) {
            job(&f[k], (uint64_t)seed, &rng);
            uint32_t zones = fix_file(&f[k], "zones.csv", MR_KIND_ZONES, MR_TIME_NONE, "");
            for (int z = 0; z < 5; z++)
                fix_zone(&f[k], zones, mr_printf(f[k].arena, "Z%d", z),
                         mr_printf(f[k].arena, "Bay %d; bow-%d", z, 7 * z));
            for (size_t i = 0; k && i < f[k].data.readings.n; i++) {
                struct mr_reading *r = &f[k].data.readings.v[i];
                if (*r->zone)
                    r->zone = mr_printf(f[k].arena, "BAY_%03d", atoi(r->zone + 2));
            }
            for (size_t i = 0; k && i < f[k].data.sprays.n; i++)
                f[k].data.sprays.v[i].zone =
                    mr_printf(f[k].arena, "Bow %d", 7 * atoi(f[k].data.sprays.v[i].zone + 1));
            fix_align(&f[k]);
            cr_assert_eq(f[k].status, MR_OK);
        }
        expect_same(digest(&f[0]), digest(&f[1]), "alias", seed);
        fix_free(&f[0]);
        fix_free(&f[1]);
    }
}

/* ---- a plain, slow model ---- */

/* One reading by the rules as the domain states them, looking through everything. */
static struct mr_placed plain_place(const struct fixture *f, const struct mr_reading *r) {
    const struct mr_alignment *a = f->aligned;
    struct mr_placed p = {.t_utc_ms = r->t_ms, .zone = MR_NONE, .window = MR_NONE, .route = MR_ROUTE_NONE};
    if (*r->zone) {
        p.zone = (size_t)atoi(r->zone + 2);
        p.route = MR_ROUTE_OWN;
    } else if (r->t_ms >= fix_time("2026-05-12 18:00") && r->t_ms <= fix_time("2026-05-12 19:00")) {
        p.zone = 1;
        p.route = MR_ROUTE_ASSIGNED;
    } else {
        size_t zones = 0;
        for (size_t z = 0; z < a->zones.n; z++) {
            bool open = false;
            for (size_t i = 0; i < a->windows.n; i++)
                open |= a->windows.v[i].zone == z && a->windows.v[i].t0_utc_ms <= r->t_ms &&
                        r->t_ms <= a->windows.v[i].t1_utc_ms;
            if (open) {
                zones++;
                p.zone = z;
            }
        }
        p.route = zones == 1 ? MR_ROUTE_WINDOW : MR_ROUTE_NONE;
        if (zones != 1)
            p.zone = MR_NONE;
    }
    p.coat = *r->coat ? atoi(r->coat) : 0;
    if (p.zone == MR_NONE)
        return p;
    int64_t repair = INT64_MIN, first_own = INT64_MAX, first_any = INT64_MAX;
    for (size_t i = 0; i < a->windows.n; i++) {
        const struct mr_window *w = &a->windows.v[i];
        if (w->zone != p.zone)
            continue;
        if (w->t0_utc_ms <= r->t_ms && (p.window == MR_NONE || w->t0_utc_ms >= a->windows.v[p.window].t0_utc_ms))
            p.window = i;
        if (w->coat == p.coat && w->t0_utc_ms < first_own)
            first_own = w->t0_utc_ms;
        if (w->t0_utc_ms < first_any)
            first_any = w->t0_utc_ms;
    }
    for (size_t i = 0; i < a->actions.n; i++)
        if (a->actions.v[i].zone == p.zone && a->actions.v[i].log->action == MR_ACTION_REPAIR &&
            a->actions.v[i].t0_utc_ms <= r->t_ms)
            repair = a->actions.v[i].t0_utc_ms;
    int64_t coated = p.window == MR_NONE ? INT64_MIN : a->windows.v[p.window].t0_utc_ms;
    bool to_come = first_any > r->t_ms || (p.coat && first_own > r->t_ms && first_own != INT64_MAX);
    p.stage = repair != INT64_MIN && repair >= coated ? MR_STAGE_AFTER_REPAIR
              : to_come                               ? MR_STAGE_BEFORE_COAT
                                                      : MR_STAGE_AFTER_COAT;
    if (!p.coat && p.window != MR_NONE)
        p.coat = a->windows.v[p.window].coat;
    return p;
}

static bool agrees(const struct mr_placed *a, const struct mr_placed *b) {
    return a->zone == b->zone && a->route == b->route && a->window == b->window && a->coat == b->coat &&
           a->stage == b->stage && a->t_utc_ms == b->t_utc_ms;
}

/* Survey numbers: each must grow by one exactly where the plain rules see a border. */
static bool surveys_agree(const struct fixture *f) {
    const struct mr_alignment *a = f->aligned;
    for (size_t i = 0; i < a->readings.n; i++) {
        const struct mr_placed *p = &a->readings.v[i], *before = NULL;
        for (size_t k = 0; k < a->readings.n; k++) {
            const struct mr_placed *q = &a->readings.v[k];
            bool earlier = q->t_utc_ms < p->t_utc_ms || (q->t_utc_ms == p->t_utc_ms && k < i);
            if (q->zone != p->zone || !earlier)
                continue;
            if (!before || q->t_utc_ms > before->t_utc_ms || (q->t_utc_ms == before->t_utc_ms && q > before))
                before = q;
        }
        if (p->zone == MR_NONE)
            continue;
        if (!before) {
            if (p->survey != 0)
                return false;
            continue;
        }
        bool border = p->t_utc_ms - before->t_utc_ms > 8 * 3600000 || p->coat != before->coat;
        for (size_t k = 0; k < a->windows.n; k++)
            border |= a->windows.v[k].zone == p->zone && a->windows.v[k].t0_utc_ms > before->t_utc_ms &&
                      a->windows.v[k].t0_utc_ms <= p->t_utc_ms;
        for (size_t k = 0; k < a->actions.n; k++)
            border |= a->actions.v[k].zone == p->zone && a->actions.v[k].log->action == MR_ACTION_REPAIR &&
                      a->actions.v[k].t0_utc_ms > before->t_utc_ms && a->actions.v[k].t0_utc_ms <= p->t_utc_ms;
        if (p->survey != before->survey + border)
            return false;
    }
    return true;
}

static size_t disagreements(const struct fixture *f) {
    size_t n = !surveys_agree(f);
    for (size_t i = 0; i < f->aligned->readings.n; i++) {
        struct mr_placed plain = plain_place(f, f->aligned->readings.v[i].reading);
        n += !agrees(&plain, &f->aligned->readings.v[i]);
    }
    return n;
}

Test(prop_align_join, readings_agree_with_a_plain_model_and_a_planted_fault_is_noticed) {
    size_t routes[4] = {0};
    for (int seed = 1; seed <= SEEDS; seed++) {
        struct fixture f;
        uint64_t rng;
        job(&f, (uint64_t)seed, &rng);
        fix_align(&f);
        cr_expect_eq(disagreements(&f), 0, "seed %d", seed);
        for (size_t i = 0; i < 4; i++)
            routes[i] += f.aligned->by_route[i];
        /* Each of these small faults must be seen, or the comparison proves nothing. */
        struct mr_alignment broken = *f.aligned;
        struct mr_placed *v = MR_ARRAY(f.arena, struct mr_placed, broken.readings.n);
        const struct mr_alignment *sound = f.aligned;
        f.aligned = &broken;
        for (int fault = 0; fault < 6; fault++) {
            memcpy(v, sound->readings.v, broken.readings.n * sizeof *v);
            broken.readings.v = v;
            struct mr_placed *p = &v[(size_t)alignsim_uniform(&rng, 0, READINGS)];
            if (p->zone == MR_NONE && fault == 5)
                continue;
            switch (fault) {
            case 0:
                p->zone = p->zone == 0 ? 1 : 0;
                break;
            case 1:
                p->route = p->route == MR_ROUTE_OWN ? MR_ROUTE_WINDOW : MR_ROUTE_OWN;
                break;
            case 2:
                p->coat++;
                break;
            case 3:
                p->stage = p->stage == MR_STAGE_AFTER_COAT ? MR_STAGE_BEFORE_COAT : MR_STAGE_AFTER_COAT;
                break;
            case 4:
                p->t_utc_ms += 1;
                break;
            default:
                p->survey++;
                break;
            }
            cr_expect_gt(disagreements(&f), 0, "seed %d: fault %d was not noticed", seed, fault);
        }
        f.aligned = sound;
        fix_free(&f);
    }
    for (size_t i = 0; i < 4; i++)
        cr_expect_gt(routes[i], 0, "no reading came by route %zu", i);
}
