/*
 * shown_rows.c - rows as understood, in words: what `explain` and the dump show of a file's records.
 */
#include "normalise/explain/shown_rows.h"

#include "normalise/cell/when.h"
#include "numeric/search.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void shown_number(double value, char out[32]) {
    out[0] = '\0';
    if (isnan(value))
        return;
    snprintf(out, 32, "%.9g", value + 0.0);
}

const char *mr_basis_text(enum mr_time_basis basis) {
    return basis == MR_TIME_UTC ? "UTC" : basis == MR_TIME_LOCAL ? "local time" : "";
}

static int by_file(const void *record, const void *key) {
    uint32_t a, b; /* each record begins with its file's index */
    memcpy(&a, record, sizeof a);
    memcpy(&b, key, sizeof b);
    return MR_ORDER(a, b);
}

/* The first and last record of a file among a list sorted by file. */
static bool first_last(const void *items, size_t n, size_t bytes, size_t file, size_t found[2]) {
    uint32_t key = (uint32_t)file;
    found[0] = mr_first_from(&key, items, n, bytes, by_file);
    size_t end = mr_first_after(&key, items, n, bytes, by_file);
    found[1] = end - 1;
    return end > found[0];
}

static void put_text(struct mr_buffer *p, const char *name, const char *text) {
    if (*text)
        mr_buffer_put(p, ", %s %s", name, mr_clean_text(p->arena, text, strlen(text), 60));
}

static void put_value(struct mr_buffer *p, const char *name, double value, const char *unit) {
    char text[32];
    shown_number(value, text);
    if (*text)
        mr_buffer_put(p, ", %s %s%s%s", name, text, *unit ? " " : "", unit);
}

static void put_time(struct mr_buffer *p, int64_t t_ms) {
    char text[32];
    mr_when_text(t_ms, text);
    mr_buffer_put(p, "%s", text);
}

static struct mr_shown close_buffer(struct mr_buffer *p, uint32_t line) {
    return (struct mr_shown){line, mr_buffer_end(p)};
}

static struct mr_shown show_reading(struct mr_arena *arena, const struct mr_reading *r) {
    struct mr_buffer p = {.arena = arena};
    put_time(&p, r->t_ms);
    put_text(&p, "zone", r->zone);
    put_text(&p, "coat", r->coat);
    put_text(&p, "area", r->area);
    put_text(&p, "spot", r->spot);
    put_value(&p, "film", r->film_um, "µm");
    if (r->unit != MR_UNIT_UM)
        put_value(&p, "written", r->written, mr_unit_symbol(r->unit));
    if (!r->n_readings)
        mr_buffer_put(&p, ", mean of an unstated number of readings");
    else if (r->n_readings > 1)
        mr_buffer_put(&p, ", mean of %u readings", (unsigned)r->n_readings);
    put_text(&p, "serial", r->serial);
    return close_buffer(&p, r->line);
}

static struct mr_shown show_verification(struct mr_arena *arena, const struct mr_verification *v) {
    struct mr_buffer p = {.arena = arena};
    put_time(&p, v->t_ms);
    put_text(&p, "serial", v->serial);
    put_value(&p, "certified", v->certified_um, "µm");
    put_value(&p, "reading", v->reading_um, "µm");
    put_text(&p, "use", v->when);
    return close_buffer(&p, v->line);
}

static const char *action_text(enum mr_action action) {
    static const char *const texts[] = {[MR_ACTION_SPRAY] = "spray",         [MR_ACTION_RELIEVE] = "relieve",
                                        [MR_ACTION_CLEAN_OUT] = "clean-out", [MR_ACTION_WATER_TEST] = "water test",
                                        [MR_ACTION_MIX_CHECK] = "mix check", [MR_ACTION_REPAIR] = "repair",
                                        [MR_ACTION_OTHER] = "other",         [MR_ACTION_UNCLEAR] = "unclear"};
    return texts[action];
}

static struct mr_shown show_spray(struct mr_arena *arena, const struct mr_spray *s) {
    struct mr_buffer p = {.arena = arena};
    put_time(&p, s->start_ms);
    mr_buffer_put(&p, " to ");
    put_time(&p, s->stop_ms);
    mr_buffer_put(&p, ", %s%s", action_text(s->action), s->date_inferred ? ", date inferred" : "");
    put_text(&p, "zone", s->zone);
    put_text(&p, "coat", s->coat);
    put_text(&p, "direction", s->direction);
    put_text(&p, "lot A", s->lot_a);
    put_text(&p, "lot B", s->lot_b);
    put_value(&p, "distance", s->distance_mm, "mm");
    return close_buffer(&p, s->line);
}

static struct mr_shown show_shift(struct mr_arena *arena, const struct mr_shift_item *s) {
    struct mr_buffer p = {.arena = arena};
    put_time(&p, s->day_ms);
    put_text(&p, "item", s->item);
    mr_buffer_put(&p, ", %s", s->done > 0 ? "done" : s->done == 0 ? "not done" : "blank");
    put_text(&p, "role", s->role);
    return close_buffer(&p, s->line);
}

static struct mr_shown show_material(struct mr_arena *arena, const struct mr_material *m) {
    struct mr_buffer p = {.arena = arena};
    put_time(&p, m->t_ms);
    mr_buffer_put(&p, ", part %c", m->part);
    put_text(&p, "drum", m->drum);
    put_text(&p, "lot", m->lot);
    put_value(&p, "before", m->before, mr_unit_symbol(m->unit));
    put_value(&p, "after", m->after, mr_unit_symbol(m->unit));
    return close_buffer(&p, m->line);
}

static struct mr_shown show_zone(struct mr_arena *arena, const struct mr_zone_row *z) {
    struct mr_buffer p = {.arena = arena};
    mr_buffer_put(&p, "zone %s", mr_clean_text(arena, z->name, strlen(z->name), 60));
    put_text(&p, "aliases", z->aliases);
    put_value(&p, "area", z->area_m2, "m2");
    put_text(&p, "substrate", z->substrate);
    put_value(&p, "steel", z->steel_mm, "mm");
    put_text(&p, "grade", z->grade);
    put_value(&p, "profile", z->profile_um, "µm");
    put_text(&p, "specification", z->spec);
    if (z->coats)
        mr_buffer_put(&p, ", coats %d", z->coats);
    return close_buffer(&p, z->line);
}

/* A log's row over all channels that hold its line. */
static struct mr_shown show_sample(struct mr_arena *arena, const struct mr_data *data, size_t file, bool last) {
    struct mr_buffer p = {.arena = arena};
    uint32_t line = 0;
    int64_t t = MR_T_NONE;
    for (size_t i = 0; i < data->channels.n; i++) {
        const struct mr_channel *c = &data->channels.v[i];
        if (c->file != file || !c->n)
            continue;
        size_t at = last ? c->n - 1 : 0;
        const uint32_t own = (uint32_t)mr_whole(&c->line, at);
        if (!line || (last ? own > line : own < line)) {
            line = own;
            t = mr_whole(&c->t_ms, at);
        }
    }
    put_time(&p, t);
    for (size_t i = 0; i < data->channels.n; i++) {
        const struct mr_channel *c = &data->channels.v[i];
        size_t at = c->file == file && c->n ? (last ? c->n - 1 : 0) : MR_NONE;
        if (at != MR_NONE && mr_whole(&c->line, at) == line)
            put_value(&p, mr_clean_text(arena, c->name, strlen(c->name), 40), mr_real(&c->value, at),
                      c->meaning == MR_M_RH                                                               ? "%"
                      : c->meaning == MR_M_LINE_A || c->meaning == MR_M_LINE_B || c->meaning == MR_M_MAIN ? "kPa"
                                                                                                          : "°C");
    }
    return close_buffer(&p, line);
}

#define SHOW(list, show)                                                                                             \
    if (first_last((list).v, (list).n, sizeof *(list).v, file, found)) {                                             \
        out[0] = show(arena, &(list).v[found[0]]);                                                                   \
        out[1] = show(arena, &(list).v[found[1]]);                                                                   \
        return found[1] > found[0] ? 2 : 1;                                                                          \
    }

size_t mr_shown_rows(struct mr_arena *arena, const struct mr_data *data, size_t file, struct mr_shown out[2]) {
    size_t found[2];
    for (size_t i = 0; i < data->channels.n; i++)
        if (data->channels.v[i].file == file) {
            out[0] = show_sample(arena, data, file, false);
            out[1] = show_sample(arena, data, file, true);
            return out[1].line > out[0].line ? 2 : 1;
        }
    SHOW(data->readings, show_reading)
    SHOW(data->base_metal, show_reading)
    SHOW(data->wet_film, show_reading)
    SHOW(data->verifications, show_verification)
    SHOW(data->sprays, show_spray)
    SHOW(data->shift_items, show_shift)
    SHOW(data->materials, show_material)
    SHOW(data->zones, show_zone)
    return 0;
}
