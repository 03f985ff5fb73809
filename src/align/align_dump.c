/*
 * align_dump.c - the stage as text that a person can follow and a test can compare: each reading from file and line
 * over its local time and UTC to zone, route and window. One line for each thing, names quoted, nothing that varies
 * between runs.
 */
#include "align/align_state.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct align_text {
    struct mr_arena *arena;
    const struct mr_alignment *a;
    char *text;
    size_t n, room;
};

static void MR_PRINTF(2, 3) put(struct align_text *d, const char *format, ...) {
    for (;;) {
        va_list args;
        va_start(args, format);
        int n = vsnprintf(d->text + d->n, d->room - d->n, format, args);
        va_end(args);
        if (n < 0)
            return;
        if ((size_t)n < d->room - d->n) {
            d->n += (size_t)n;
            return;
        }
        size_t want = d->room * 2 + (size_t)n + 1;
        d->text = mr_arena_grow(d->arena, d->text, d->room, want);
        d->room = want;
    }
}

/* "2026-05-11T12:03:20.000Z", "-" for none, "open" for an open end of a stay. */
static void moment(char out[40], int64_t t_ms, const char *end) {
    if (t_ms == MR_T_NONE || t_ms == INT64_MAX) {
        snprintf(out, 40, "%s", "-");
        return;
    }
    int64_t days = t_ms / MR_DAY_MS - (t_ms % MR_DAY_MS < 0), ms = t_ms - days * MR_DAY_MS;
    int year, month, day;
    mr_civil_from_days(days, &year, &month, &day);
    int s = (int)(ms / 1000);
    snprintf(out, 40, "%04d-%02d-%02dT%02d:%02d:%02d.%03d%s", year, month, day, s / 3600, s / 60 % 60, s % 60,
             (int)(ms % 1000), end);
}

static void put_utc(struct align_text *d, int64_t t_utc_ms) {
    char text[40];
    moment(text, t_utc_ms, "Z");
    put(d, " %s", text);
}

static void put_place(struct align_text *d, struct mr_place place) {
    if (place.file)
        put(d, " %s:%u", place.file, place.line);
    else
        put(d, " -");
}

static const char *zone_name(const struct align_text *d, size_t zone) {
    return zone < d->a->zones.n ? d->a->zones.v[zone].name : "-";
}

static void put_number(struct align_text *d, const char *name, double value) {
    if (!isnan(value))
        put(d, " %s=%.10g", name, value);
}

static void dump_zones(struct align_text *d) {
    put(d, "zones %zu\n", d->a->zones.n);
    for (size_t i = 0; i < d->a->zones.n; i++) {
        const struct mr_zone *z = &d->a->zones.v[i];
        put(d, "  zone %zu \"%s\" %s aliases \"%s\" coats %d spec \"%s\"", i, z->name,
            z->registered ? "registered" : "unregistered", z->aliases, z->coats,
            z->settings->spec ? z->settings->spec : "");
        put_number(d, "area_m2", z->area_m2);
        put_number(d, "steel_mm", z->steel_mm);
        put_place(d, z->place);
        put(d, "\n");
    }
}

static void dump_clocks(struct align_text *d) {
    put(d, "clocks %zu\n", d->a->clocks.n);
    for (size_t i = 0; i < d->a->clocks.n; i++) {
        const struct mr_clock *c = &d->a->clocks.v[i];
        put(d,
            "  clock %zu \"%s\" zone %s%s offset %.3f s drift %.3f s/day; gap %zu, fold %zu resolved, %zu set "
            "aside\n",
            i, c->instrument, c->time_zone, c->stated ? " stated" : "", c->offset_s, c->drift_s_per_day, c->gap_rows,
            c->fold_rows_resolved, c->fold_rows_set_aside);
        if (c->estimated)
            put(d, "    estimate %.1f s +- %.1f s, %zu events, %zu unmatched%s%s\n", c->est_offset_s, c->est_spread_s,
                c->est_events, c->est_unmatched, c->est_finding ? ", finding" : "",
                c->est_applied ? ", applied" : "");
        if (c->note && *c->note)
            put(d, "    %s\n", c->note);
    }
}

static void dump_windows(struct align_text *d) {
    const struct mr_alignment *a = d->a;
    put(d, "shifts %zu\n", a->shifts.n);
    for (size_t i = 0; i < a->shifts.n; i++) {
        put(d, "  shift %zu \"%s\"", i, a->shifts.v[i].name);
        put_utc(d, a->shifts.v[i].t0_utc_ms);
        put_utc(d, a->shifts.v[i].t1_utc_ms);
        put(d, "\n");
    }
    put(d, "windows %zu\n", a->windows.n);
    for (size_t i = 0; i < a->windows.n; i++) {
        const struct mr_window *w = &a->windows.v[i];
        put(d, "  window %zu zone \"%s\" coat %d", i, zone_name(d, w->zone), w->coat);
        put_utc(d, w->t0_utc_ms);
        put_utc(d, w->t1_utc_ms);
        put(d, " shift %zu%s%s rows %zu", w->shift, w->found ? " found" : " logged", w->overlaps ? " overlaps" : "",
            w->n_rows);
        put_place(d, w->place);
        put(d, "\n");
    }
    put(d, "actions %zu\n", a->actions.n);
    for (size_t i = 0; i < a->actions.n; i++) {
        const struct mr_action_at *x = &a->actions.v[i];
        put(d, "  action \"%s\" zone \"%s\"", x->log->action_text ? x->log->action_text : "", zone_name(d, x->zone));
        put_utc(d, x->t0_utc_ms);
        put_utc(d, x->t1_utc_ms);
        put(d, x->shift == MR_NONE ? " shift -" : " shift %zu", x->shift);
        put_place(d, x->place);
        put(d, "\n");
    }
}

static void dump_tracks(struct align_text *d) {
    const struct mr_alignment *a = d->a;
    put(d, "tracks %zu\n", a->tracks.n);
    for (size_t i = 0; i < a->tracks.n; i++) {
        const struct mr_track *t = &a->tracks.v[i];
        put(d, "  track %zu \"%s\" %s \"%s\" n %zu clock %zu", i, t->instrument, mr_meaning_word(t->meaning),
            t->channel, t->n, t->clock);
        put_utc(d, mr_track_ms(t, 0));
        put_place(d, mr_track_place(a, t, 0));
        put_utc(d, mr_track_ms(t, t->n - 1));
        put_place(d, mr_track_place(a, t, t->n - 1));
        put(d, "\n");
        for (size_t s = 0; s < t->stays.n; s++) {
            const struct mr_stay *stay = &t->stays.v[s];
            put(d, "    stay \"%s\" (%s)", stay->gun ? "gun" : zone_name(d, stay->zone), mr_route_text(stay->route));
            put_utc(d, stay->t0_utc_ms);
            put_utc(d, stay->t1_utc_ms);
            put(d, "\n");
        }
    }
}

static void dump_placed(struct align_text *d, const struct mr_placed *v, size_t n) {
    static const char *const stages[] = {"unknown", "before coat", "after coat", "after repair"};
    for (size_t i = 0; i < n; i++) {
        const struct mr_placed *p = &v[i];
        const struct mr_file *f = &d->a->data->files.v[p->reading->file];
        char read[40];
        moment(read, p->reading->t_ms, f->basis == MR_TIME_UTC ? "Z" : "");
        put(d, "  %s:%u read %s ->", f->source && f->source->path ? f->source->path : "-", p->reading->line, read);
        put_utc(d, p->t_utc_ms);
        put(d, " -> \"%s\" (%s%s%s)", zone_name(d, p->zone), mr_route_text(p->route), *p->route_note ? ": " : "",
            p->route_note);
        put(d, p->window == MR_NONE ? " window - " : " window %zu ", p->window);
        put(d, "coat %d, %s, survey %u, %.10g um\n", p->coat, stages[p->stage], p->survey, p->reading->film_um);
    }
}

static void dump_records(struct align_text *d) {
    const struct mr_alignment *a = d->a;
    put(d, "readings %zu: %zu own, %zu assigned, %zu by window, %zu unassigned\n", a->readings.n,
        a->by_route[MR_ROUTE_OWN], a->by_route[MR_ROUTE_ASSIGNED], a->by_route[MR_ROUTE_WINDOW],
        a->by_route[MR_ROUTE_NONE]);
    dump_placed(d, a->readings.v, a->readings.n);
    put(d, "base metal %zu\n", a->base_metal.n);
    dump_placed(d, a->base_metal.v, a->base_metal.n);
    put(d, "wet film %zu\n", a->wet_film.n);
    dump_placed(d, a->wet_film.v, a->wet_film.n);
    put(d, "checks %zu\n", a->checks.n);
    for (size_t i = 0; i < a->checks.n; i++) {
        const struct mr_source *s = a->data->files.v[a->checks.v[i].check->file].source;
        put(d, "  %s:%u", s && s->path ? s->path : "-", a->checks.v[i].check->line);
        put_utc(d, a->checks.v[i].t_utc_ms);
        put(d, "\n");
    }
    put(d, "shift items");
    for (size_t i = 0; i < a->shift_item_shift.n; i++)
        put(d, " %lld", (long long)a->shift_item_shift.v[i]);
    put(d, "\nmaterials");
    for (size_t i = 0; i < a->material_utc.n; i++)
        put_utc(d, a->material_utc.v[i]);
    put(d, "\n");
}

static void dump_accounts(struct align_text *d) {
    const struct mr_data *data = d->a->data;
    put(d, "accounts %zu\n", data->files.n);
    for (size_t i = 0; i < data->files.n; i++) {
        const struct mr_account *x = &d->a->accounts[i];
        const struct mr_source *s = data->files.v[i].source;
        put(d, "  %s read %llu header %llu used %llu set aside %llu\n", s && s->path ? s->path : "-",
            (unsigned long long)x->rows_read, (unsigned long long)x->rows_header, (unsigned long long)x->rows_used,
            (unsigned long long)x->rows_set_aside);
        for (size_t k = 0; k < x->runs.n; k++)
            put(d, "    %s lines %u-%u rows %llu\n", mr_aside_word(x->runs.v[k].why), x->runs.v[k].line,
                x->runs.v[k].line_end, (unsigned long long)x->runs.v[k].rows);
    }
}

char *mr_align_dump(struct mr_arena *arena, const struct mr_alignment *aligned) {
    struct align_text d = {.arena = arena, .a = aligned, .room = 1 << 16};
    d.text = mr_alloc(arena, d.room, 1);
    put(&d, "align\n");
    dump_zones(&d);
    dump_clocks(&d);
    dump_windows(&d);
    dump_tracks(&d);
    dump_records(&d);
    dump_accounts(&d);
    put(&d, "last");
    put_utc(&d, aligned->last_utc_ms);
    put(&d, "\n");
    return d.text;
}
