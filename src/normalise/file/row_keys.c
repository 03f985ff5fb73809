/*
 * row_keys.c - the moment of a row and a 64-bit hash of all its fields, by which rows of two exports are compared.
 */
#include "normalise/file/row_keys.h"

#include "base/text.h"
#include "normalise/row/log_columns.h"

#include <math.h>
#include <string.h>

static uint64_t mix(uint64_t h, const void *data, size_t n) {
    h = mr_hash(h, data, n);
    return h ^ (h >> 29);
}

static uint64_t mix_text(uint64_t h, const char *text) {
    return mix(h, text, strlen(text) + 1);
}

static uint64_t mix_number(uint64_t h, double value) {
    if (isnan(value))
        return mix(h, "nan", 3);
    value += 0.0; /* -0 and 0 are one value */
    return mix(h, &value, sizeof value);
}

static uint64_t log_hash(const struct mr_log *log, size_t i) {
    uint64_t h = log->place.n ? mix_text(MR_HASH_SEED, log->place.v[i]) : MR_HASH_SEED;
    if (log->is_long) {
        h = mix_text(h, log->channels.v[log->which[i]].name);
        return mix_number(h, log->value[i]);
    }
    for (size_t k = 0; k < log->channels.n; k++)
        if (!log->channels.v[k].dropped)
            h = mix_number(h, mr_log_value(&log->channels.v[k], i));
    return h;
}

static uint64_t reading_hash(const struct mr_reading *r) {
    uint64_t h = mix(mix_number(MR_HASH_SEED, r->film_um), &r->n_readings, sizeof r->n_readings);
    const char *texts[] = {r->zone, r->coat, r->area, r->spot, r->serial, r->probe};
    for (size_t i = 0; i < MR_COUNT(texts); i++)
        h = mix_text(h, texts[i]);
    return h;
}

static uint64_t spray_hash(const struct mr_spray *r) {
    uint64_t h = mix(mix_text(mix_text(MR_HASH_SEED, r->zone), r->coat), &r->stop_ms, sizeof r->stop_ms);
    return mix_text(mix_text(mix_text(h, r->action_text), r->lot_a), r->lot_b);
}

size_t mr_row_count(const struct mr_file_state *state) {
    switch (state->plan->kind) {
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
    case MR_KIND_PRESSURE:
        return state->log.n;
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
    case MR_KIND_WET_FILM:
        return state->records.readings.n;
    case MR_KIND_VERIFICATION:
        return state->records.verifications.n;
    case MR_KIND_SPRAY_LOG:
        return state->records.sprays.n;
    case MR_KIND_SHIFT_RECORD:
        return state->records.shift_items.n;
    case MR_KIND_MATERIAL:
        return state->records.materials.n;
    case MR_KIND_UNKNOWN:
    case MR_KIND_ZONES:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return 0;
}

int64_t mr_row_time(const struct mr_file_state *state, size_t i) {
    switch (state->plan->kind) {
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
    case MR_KIND_PRESSURE:
        return mr_log_ms(&state->log, i);
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
    case MR_KIND_WET_FILM:
        return state->records.readings.v[i].t_ms;
    case MR_KIND_VERIFICATION:
        return state->records.verifications.v[i].t_ms;
    case MR_KIND_SPRAY_LOG:
        return state->records.sprays.v[i].start_ms;
    case MR_KIND_SHIFT_RECORD:
        return state->records.shift_items.v[i].day_ms;
    case MR_KIND_MATERIAL:
        return state->records.materials.v[i].t_ms;
    case MR_KIND_UNKNOWN:
    case MR_KIND_ZONES:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return MR_T_NONE;
}

uint64_t mr_row_hash(const struct mr_file_state *state, size_t i) {
    if (mr_is_log(state->plan->kind))
        return log_hash(&state->log, i);
    switch (state->plan->kind) {
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
    case MR_KIND_WET_FILM:
        return reading_hash(&state->records.readings.v[i]);
    case MR_KIND_VERIFICATION: {
        const struct mr_verification *v = &state->records.verifications.v[i];
        return mix_text(mix_text(mix_number(mix_number(MR_HASH_SEED, v->certified_um), v->reading_um), v->serial),
                        v->when);
    }
    case MR_KIND_SPRAY_LOG:
        return spray_hash(&state->records.sprays.v[i]);
    case MR_KIND_SHIFT_RECORD: {
        const struct mr_shift_item *s = &state->records.shift_items.v[i];
        return mix_text(mix_text(mix(MR_HASH_SEED, &s->done, sizeof s->done), s->item), s->role);
    }
    case MR_KIND_MATERIAL: {
        const struct mr_material *m = &state->records.materials.v[i];
        return mix_text(
            mix_text(mix_number(mix_number(mix(MR_HASH_SEED, &m->part, 1), m->before), m->after), m->drum), m->lot);
    }
    case MR_KIND_UNKNOWN:
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
    case MR_KIND_PRESSURE:
    case MR_KIND_ZONES:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return 0;
}
