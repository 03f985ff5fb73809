/*
 * clocks.c - one clock for each instrument, and the way from what it shows to UTC.
 *
 * A clock that is four minutes fast also changes to summer time four minutes early, so the wall clock's figures first
 * become UTC by the zone's rules, and the error is taken off there. Two check points give offset and drift; the drift
 * is carried on beyond them.
 *
 * Log files that name no instrument are one instrument where they look alike (kind and channels) and follow each
 * other in time, so that a log split into files stays one log. Two such files that overlap are two instruments.
 */
#include "align/align_state.h"
#include "numeric/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void mr_align_error(struct mr_align_state *st, const char *id, struct mr_place place, const char *text,
                    const char *mend, const char *what) {
    st->job_error = true;
    mr_diag_add(st->diags, MR_ERROR, id, place, text, mend, "%s", what);
}

const struct mr_tzone *mr_align_tzone(struct mr_align_state *st, const char *name, struct mr_place place) {
    for (size_t i = 0; i < st->tzones.n; i++)
        if (strcmp(st->tzones.v[i]->name, name) == 0)
            return st->tzones.v[i];
    const struct mr_tzone *zone = NULL;
    if (mr_tzone_load(st->arena, name, &zone) != MR_OK) {
        mr_align_error(st, "time-zone", place, name,
                       "Write a name from the IANA list such as Europe/Berlin or America/Chicago, or +02:00.",
                       "is not a known time zone");
        if (mr_tzone_load(st->arena, "+00:00", &zone) != MR_OK)
            return NULL;
    }
    MR_PUSH(st->arena, &st->tzones, zone);
    return zone;
}

/* What tells clocks apart, collected before they are numbered in order of names. */
struct owner {
    const char *name; /* of the instrument, or path of the first file */
    bool named;
    const struct mr_instrument *instrument;
    uint32_t file; /* first file met */
};
typedef MR_VEC(struct owner) owner_list;

static int by_owner(const void *a, const void *b) {
    const struct owner *x = a, *y = b;
    if (x->named != y->named)
        return x->named ? -1 : 1;
    return strcmp(x->name, y->name);
}

static const struct mr_instrument *instrument_of(const struct mr_align_state *st, const struct mr_file *f) {
    if (f->instrument)
        return f->instrument;
    return f->instrument_name && *f->instrument_name ? mr_job_instrument(st->job, f->instrument_name) : NULL;
}

static const char *owner_name(const struct mr_align_state *st, const struct mr_file *f) {
    const struct mr_instrument *inst = instrument_of(st, f);
    return inst ? inst->name : f->instrument_name ? f->instrument_name : "";
}

static const char *path_of(const struct mr_align_state *st, size_t file) {
    const struct mr_source *s = st->data->files.v[file].source;
    return s && s->path ? s->path : "";
}

/* A group of files that name no instrument. */
struct nameless {
    const char *signature, *path;
    int64_t last_ms;
    uint32_t file;
};

struct in_time {
    size_t file;
    int64_t first_ms;
    const char *signature, *path;
};

static int by_first(const void *a, const void *b) {
    const struct in_time *x = a, *y = b;
    int same = strcmp(x->signature, y->signature);
    if (same)
        return same;
    if (x->first_ms != y->first_ms)
        return x->first_ms < y->first_ms ? -1 : 1;
    return strcmp(x->path, y->path);
}

static int by_text(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Kind and sorted channels of a log file; NULL for files that are no logs. */
static const char *signature_of(const struct mr_align_state *st, size_t file) {
    MR_VEC(const char *) parts = {0};
    for (size_t i = 0; i < st->data->channels.n; i++) {
        const struct mr_channel *c = &st->data->channels.v[i];
        if (c->file != file)
            continue;
        const char *part = mr_printf(st->arena, "\x1f%s\x1e%s", mr_meaning_word(c->meaning), c->name ? c->name : "");
        MR_PUSH(st->arena, &parts, part);
    }
    if (!parts.n)
        return NULL;
    qsort(parts.v, parts.n, sizeof *parts.v, by_text);
    size_t bytes = 32;
    for (size_t i = 0; i < parts.n; i++)
        bytes += strlen(parts.v[i]);
    char *text = MR_ARRAY(st->arena, char, bytes);
    size_t used = 1;
    text[0] = (char)('a' + st->data->files.v[file].kind);
    for (size_t i = 0; i < parts.n; i++) {
        memcpy(text + used, parts.v[i], strlen(parts.v[i]));
        used += strlen(parts.v[i]);
    }
    return text;
}

/* Gives each nameless file the path of the first file of its group. */
static void group_nameless(struct mr_align_state *st, const char **owner) {
    MR_VEC(struct in_time) list = {0};
    for (size_t i = 0; i < st->data->files.n; i++) {
        const struct mr_file *f = &st->data->files.v[i];
        if (*owner_name(st, f))
            continue;
        owner[i] = path_of(st, i);
        struct in_time item = {i, f->first_ms, signature_of(st, i), path_of(st, i)};
        if (item.signature && f->first_ms != MR_T_NONE)
            MR_PUSH(st->arena, &list, item);
    }
    if (list.n)
        qsort(list.v, list.n, sizeof *list.v, by_first);
    MR_VEC(struct nameless) groups = {0};
    for (size_t i = 0; i < list.n; i++) {
        const struct mr_file *f = &st->data->files.v[list.v[i].file];
        struct nameless *best = NULL;
        for (size_t g = 0; g < groups.n; g++) {
            struct nameless *n = &groups.v[g];
            bool follows = strcmp(n->signature, list.v[i].signature) == 0 && n->last_ms < f->first_ms &&
                           st->data->files.v[n->file].basis == f->basis;
            if (follows && (!best || n->last_ms > best->last_ms))
                best = n;
        }
        if (!best) {
            struct nameless fresh = {list.v[i].signature, list.v[i].path, f->last_ms, (uint32_t)list.v[i].file};
            MR_PUSH(st->arena, &groups, fresh);
            best = &groups.v[groups.n - 1];
        }
        best->last_ms = f->last_ms;
        owner[list.v[i].file] = best->path;
    }
}

static void add_owner(struct mr_align_state *st, owner_list *list, struct mr_names *seen, const char *name,
                      bool named, const struct mr_instrument *instrument, uint32_t file) {
    const char *tag = named ? name : mr_printf(st->arena, "\x1f%s", name);
    if (mr_names_get(seen, tag) != MR_NONE)
        return;
    mr_names_put(st->arena, seen, tag, list->n);
    struct owner o = {name, named, instrument, file};
    MR_PUSH(st->arena, list, o);
}

/* Gauges are named row by row; those that the job knows have clocks of their own. */
static void own_by_serial(struct mr_align_state *st, owner_list *list, struct mr_names *seen, const char *serial,
                          uint32_t file, const char **last) {
    if (!serial || !*serial || (*last && strcmp(*last, serial) == 0))
        return;
    *last = serial;
    const struct mr_instrument *inst = mr_job_instrument(st->job, serial);
    if (inst)
        add_owner(st, list, seen, inst->name, true, inst, file);
}

static struct mr_place place_of_zone_name(const struct mr_align_state *st, const struct mr_file *f,
                                          const char **name) {
    const struct mr_file_rule *rule = f->source ? f->source->rule : NULL;
    const struct mr_instrument *inst = instrument_of(st, f);
    if (rule && rule->time_zone && *rule->time_zone) {
        *name = rule->time_zone;
        return rule->place;
    }
    if (inst && inst->time_zone && *inst->time_zone) {
        *name = inst->time_zone;
        return inst->place;
    }
    *name = st->job->time_zone;
    return (struct mr_place){.file = st->job->file};
}

static void add_clock(struct mr_align_state *st, const struct owner *o) {
    const struct mr_file *f = &st->data->files.v[o->file];
    const char *zone_name = st->job->time_zone;
    if (o->instrument && o->instrument->time_zone && *o->instrument->time_zone)
        zone_name = o->instrument->time_zone;
    else
        place_of_zone_name(st, f, &zone_name);
    if (f->basis == MR_TIME_UTC)
        zone_name = "UTC";
    struct mr_clock clock = {.instrument = o->name,
                             .time_zone = zone_name,
                             .est_drift_s_per_day = (double)NAN,
                             .est_drift_spread_s_per_day = (double)NAN,
                             .est_against = "",
                             .note = ""};
    MR_PUSH(st->arena, &st->out->clocks, clock);
}

/* A check point's two readings are both wall clock in the instrument's zone. In the hour that exists twice the
 * earlier moment is taken for both, so their difference stays right. */
static int64_t point_utc(const struct mr_tzone *zone, int64_t local_ms) {
    struct mr_tz_cursor cursor = mr_tz_cursor(zone);
    return mr_tz_to_utc(&cursor, local_ms).first_utc_ms;
}

static void correct_by_points(struct mr_align_state *st, const struct mr_instrument *inst, struct mr_clock *clock,
                              struct mr_clock_correction *c) {
    const struct mr_tzone *zone = mr_align_tzone(st, clock->time_zone, inst->place);
    int64_t shown[2] = {0}, error_ms[2] = {0};
    for (size_t i = 0; i < inst->n_points; i++) {
        shown[i] = point_utc(zone, inst->point[i].shown_local_ms);
        error_ms[i] = shown[i] - point_utc(zone, inst->point[i].true_local_ms);
    }
    c->ref_utc_ms = shown[0];
    c->offset_ms = (double)error_ms[0];
    if (inst->n_points == 2 && shown[1] != shown[0])
        c->drift = (double)(error_ms[1] - error_ms[0]) / (double)(shown[1] - shown[0]);
    clock->offset_s = c->offset_ms / 1000;
    clock->drift_s_per_day = c->drift * 86400;
    clock->stated = true;
}

static void make_corrections(struct mr_align_state *st) {
    for (size_t i = 0; i < st->job->instruments.n; i++) {
        const struct mr_instrument *inst = &st->job->instruments.v[i];
        size_t k = mr_names_get(&st->instrument_clock, inst->name);
        if (k == MR_NONE)
            continue;
        struct mr_clock *clock = &st->out->clocks.v[k];
        st->corrections[k] = (struct mr_clock_correction){0};
        if (inst->n_points)
            correct_by_points(st, inst, clock, &st->corrections[k]);
        else if (inst->offset_given) {
            st->corrections[k].offset_ms = inst->offset_s * 1000;
            clock->offset_s = inst->offset_s;
            clock->stated = true;
        }
    }
}

void mr_align_clocks(struct mr_align_state *st) {
    const struct mr_data *d = st->data;
    const char **owner = MR_ARRAY(st->arena, const char *, d->files.n);
    group_nameless(st, owner);
    owner_list list = {0};
    struct mr_names seen = {0};
    for (size_t i = 0; i < d->files.n; i++) {
        const struct mr_file *f = &d->files.v[i];
        if (*owner_name(st, f))
            add_owner(st, &list, &seen, owner_name(st, f), true, instrument_of(st, f), (uint32_t)i);
        else if (f->basis != MR_TIME_NONE)
            add_owner(st, &list, &seen, owner[i], false, NULL, (uint32_t)i);
    }
    const char *last = NULL;
    for (size_t i = 0; i < d->readings.n; i++)
        own_by_serial(st, &list, &seen, d->readings.v[i].serial, d->readings.v[i].file, &last);
    for (size_t i = 0; i < d->base_metal.n; i++)
        own_by_serial(st, &list, &seen, d->base_metal.v[i].serial, d->base_metal.v[i].file, &last);
    for (size_t i = 0; i < d->wet_film.n; i++)
        own_by_serial(st, &list, &seen, d->wet_film.v[i].serial, d->wet_film.v[i].file, &last);
    for (size_t i = 0; i < d->verifications.n; i++)
        own_by_serial(st, &list, &seen, d->verifications.v[i].serial, d->verifications.v[i].file, &last);
    if (list.n)
        qsort(list.v, list.n, sizeof *list.v, by_owner);
    struct mr_names nameless = {0};
    for (size_t i = 0; i < list.n; i++) {
        mr_names_put(st->arena, list.v[i].named ? &st->instrument_clock : &nameless, list.v[i].name, i);
        add_clock(st, &list.v[i]);
    }
    st->files = MR_ARRAY(st->arena, struct mr_filing, d->files.n);
    for (size_t i = 0; i < d->files.n; i++) {
        const struct mr_file *f = &d->files.v[i];
        struct mr_timing *t = &st->files[i].timing;
        const char *zone_name;
        struct mr_place place = place_of_zone_name(st, f, &zone_name);
        t->instrument = instrument_of(st, f);
        t->zone = f->basis == MR_TIME_UTC ? NULL : mr_align_tzone(st, zone_name, place);
        t->clock = *owner_name(st, f) ? mr_names_get(&st->instrument_clock, owner_name(st, f))
                                      : mr_names_get(&nameless, owner[i]);
    }
    st->corrections = MR_ARRAY(st->arena, struct mr_clock_correction, st->out->clocks.n);
    make_corrections(st);
}

int64_t mr_align_correct(const struct mr_align_state *st, size_t clock, int64_t shown_utc_ms) {
    if (clock == MR_NONE)
        return shown_utc_ms;
    const struct mr_clock_correction *c = &st->corrections[clock];
    double error_ms = c->offset_ms + c->drift * (double)(shown_utc_ms - c->ref_utc_ms);
    return shown_utc_ms - (int64_t)(error_ms < 0 ? error_ms - 0.5 : error_ms + 0.5);
}

struct mr_timing mr_align_timing(struct mr_align_state *st, uint32_t file, const char *serial) {
    struct mr_timing t = st->files[file].timing;
    if (!serial || !*serial || (t.instrument && strcmp(t.instrument->serial, serial) == 0))
        return t;
    const struct mr_instrument *inst = mr_job_instrument(st->job, serial);
    if (!inst || inst == t.instrument)
        return t;
    t.instrument = inst;
    t.clock = mr_names_get(&st->instrument_clock, inst->name);
    const struct mr_file_rule *rule = st->data->files.v[file].source ? st->data->files.v[file].source->rule : NULL;
    bool by_rule = rule && rule->time_zone && *rule->time_zone;
    if (t.zone && !by_rule && inst->time_zone && *inst->time_zone)
        t.zone = mr_align_tzone(st, inst->time_zone, inst->place);
    return t;
}

static int by_line_and_slot(const void *item, const void *key) {
    const struct mr_odd_time *a = item, *b = key;
    return a->line != b->line ? MR_ORDER(a->line, b->line) : MR_ORDER(a->slot, b->slot);
}

const struct mr_odd_time *mr_align_odd(const struct mr_filing *filing, uint32_t line, unsigned slot) {
    struct mr_odd_time wanted = {.line = line, .slot = slot};
    size_t i = mr_first_from(&wanted, filing->odd.v, filing->odd.n, sizeof *filing->odd.v, by_line_and_slot);
    bool hit = i < filing->odd.n && by_line_and_slot(&filing->odd.v[i], &wanted) == 0;
    return hit ? &filing->odd.v[i] : NULL;
}

int64_t mr_align_utc(const struct mr_align_state *st, uint32_t file, uint32_t line, unsigned slot, int64_t t_ms,
                     const struct mr_timing *timing, bool *aside) {
    if (t_ms == MR_T_NONE)
        return MR_T_NONE;
    if (!timing->zone)
        return mr_align_correct(st, timing->clock, t_ms);
    struct mr_tz_cursor cursor = mr_tz_cursor(timing->zone);
    struct mr_tz_moment moment = mr_tz_to_utc(&cursor, t_ms);
    if (moment.fit == MR_TZ_ONE)
        return mr_align_correct(st, timing->clock, moment.first_utc_ms);
    const struct mr_odd_time *odd = mr_align_odd(&st->files[file], line, slot);
    if (!odd || odd->aside) {
        *aside = true;
        return MR_T_NONE;
    }
    return mr_align_correct(st, timing->clock, odd->t_utc_ms);
}
