/*
 * infer_units.c - units that nobody states. A unit is inferred only where the alternatives are ruled out: because
 * such values cannot occur on a site, because the file's own legend or the laws between its columns say so, or
 * because the job's other files of the kind, whose units are stated, agree with one unit only. Everything inferred is
 * reported as inferred. Where nothing decides, the values are set aside.
 */
#include "normalise/unit/infer_units.h"

#include "normalise/column/suggest.h"
#include "normalise/row/drop_rows.h"
#include "normalise/row/log_columns.h"
#include "normalise/row/row_fates.h"
#include "normalise/unit/absolute_pressure.h"
#include "normalise/unit/value_range.h"

#include <math.h>
#include <string.h>

/* --- samples ------------------------------------------------------------------------------------------------------
 */

static bool is_absolute(const struct mr_file_state *state, size_t col) {
    const char *text = state->source->columns[col].text;
    return mr_meaning_dim(state->plan->col[col].as.meaning) == MR_DIM_PRESSURE &&
           mr_says_absolute(mr_words_fold(state->scratch, text, strlen(text)));
}

static void say_no_unit(struct mr_file_state *state, size_t col, enum mr_meaning m,
                        const struct mr_unit_evidence *found) {
    const char *others = mr_unit_choices(m), *name = state->plan->col[col].as.name;
    struct mr_place place = {.file = state->source->path, .line = state->source->header_line};
    name = mr_clean_text(state->scratch, name, strlen(name), 60);
    const char *unknown = is_absolute(state, col) ? NULL : state->plan->col[col].unit_unknown;
    const char *rival = state->plan->col[col].unit_rival;
    if (found->denied && !unknown) {
        mr_diag_add(state->diags, MR_ERROR, "no-unit", place, name,
                    mr_printf(state->scratch, "Export in %s. Values set aside.", others),
                    "is in a unit that cannot be used: %s", found->why);
        return;
    }
    const char *line =
        mr_printf(state->arena, "%s = %s [?]", mr_column_key(state->arena, state->source, col), mr_meaning_word(m));
    mr_file_ask(state->arena, state->file, MR_ASK_UNIT,
                mr_printf(state->arena, "%s\n# replace ? with the unit: %s", line, others));
    mr_diag_add(state->diags, MR_ERROR, "no-unit", place, name,
                mr_printf(state->scratch, "Add to job.milrise, with the unit for ?: %s / %s. Values set aside.",
                          mr_file_key(state->scratch, state->source), line),
                "%s",
                rival ? mr_printf(state->scratch, "is in %s by its heading and in \"%s\" by a line above the table",
                                  unknown, rival)
                : unknown ? mr_printf(state->scratch, "is stated in \"%s\", which is not a unit for the %s", unknown,
                                      mr_meaning_word(m))
                          : "has no unit, and nothing in the job shows which it is");
}

/* A unit that is stated and not known is never overruled by inference. Line pressures are judged as shown by gauges;
 * an absolute pressure is about one atmosphere more, and which one is not known. */
static struct mr_unit_evidence refused_unit(const struct mr_file_state *state, size_t col) {
    struct mr_unit_evidence out = {MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "absolute pressures are not gauge pressures",
                                   false};
    out.denied = state->plan->col[col].unit_unknown || is_absolute(state, col);
    return out;
}

/* The file's own word first, then the laws between its columns, then what can occur, then neighbours and other files.
 */
static struct mr_unit_evidence infer_channel(struct mr_file_state *files, size_t n, struct mr_file_state *state,
                                             size_t k, struct mr_value_sample *s, struct mr_value_sample *others) {
    const struct mr_log_channel *c = &state->log.channels.v[k];
    struct mr_unit_evidence found = refused_unit(state, c->col);
    if (!found.denied)
        found = mr_legend_unit(state, c->col, c->name, mr_meaning_dim(c->meaning));
    if (found.denied || found.unit != MR_UNIT_NONE)
        return found;
    found = mr_vapour_unit(state, k);
    if (found.unit == MR_UNIT_NONE)
        found = mr_unit_by_range(state, c->meaning, s);
    if (found.unit == MR_UNIT_NONE)
        found = mr_unit_by_neighbours(state, c->meaning, s, others);
    if (found.unit != MR_UNIT_NONE)
        return found;
    mr_sample_job(files, n, state, c->meaning, others);
    return mr_unit_by_company(state, c->meaning, s, others);
}

/* --- applying -----------------------------------------------------------------------------------------------------
 */

static void set_column_unit(struct mr_file_state *state, size_t col, struct mr_unit_evidence found) {
    struct mr_plan_column *c = &state->plan->col[col];
    c->as.unit = found.unit;
    c->as.unit_origin = found.origin;
    c->as.unit_why = found.why;
    mr_diag_add(state->diags, MR_NOTE, "unit-inferred",
                (struct mr_place){.file = state->source->path, .line = state->source->header_line}, c->as.name,
                "To be sure, state the unit in the job file.", "is taken as %s; %s", mr_unit_symbol(found.unit),
                found.why);
}

/* "RH %" with 0.68 in it: air is never that dry, and a hundredth of the humidity must not be judged. */
static void check_percent(struct mr_file_state *state, size_t k, struct mr_value_sample *s) {
    struct mr_log_channel *c = &state->log.channels.v[k];
    if (c->meaning != MR_M_RH || c->unit != MR_UNIT_PCT || state->log.is_long ||
        state->plan->col[c->col].as.unit_origin == MR_ORIGIN_JOB)
        return;
    mr_sample_channel(&state->log, k, s);
    double most = mr_sample_rank(s, 1.0);
    if (!s->n || !(most > 0.05 && most <= 1.0) || s->whole == s->n)
        return;
    c->dropped = true;
    const char *line =
        mr_printf(state->arena, "%s = humidity [fraction]", mr_column_key(state->arena, state->source, c->col));
    mr_file_ask(state->arena, state->file, MR_ASK_FRACTION, line);
    mr_diag_add(state->diags, MR_ERROR, "no-unit",
                (struct mr_place){.file = state->source->path, .line = state->source->header_line}, c->name,
                mr_printf(state->scratch, "If they are fractions, add to job.milrise: %s / %s. Values set aside.",
                          mr_file_key(state->scratch, state->source), line),
                "is called %%, but no value is above 1");
}

static void infer_log(struct mr_file_state *files, size_t n, struct mr_file_state *state, struct mr_value_sample *s,
                      struct mr_value_sample *others) {
    for (size_t k = 0; k < state->log.channels.n && state->log.n; k++)
        check_percent(state, k, s);
    for (size_t i = 0; i < 2 * state->log.channels.n && state->log.n; i++) {
        size_t k = i % state->log.channels.n;
        struct mr_log_channel *c = &state->log.channels.v[k];
        bool first = i < state->log.channels.n; /* humidity first: it may settle the others */
        if (c->unit != MR_UNIT_NONE || c->dropped || first != (c->meaning == MR_M_RH))
            continue;
        mr_sample_channel(&state->log, k, s);
        if (!s->n) { /* nothing to settle: no probe was plugged in */
            c->dropped = true;
            continue;
        }
        struct mr_unit_evidence found = infer_channel(files, n, state, k, s, others);
        c->unit = found.unit;
        if (found.unit == MR_UNIT_NONE) {
            c->dropped = true;
            say_no_unit(state, c->col, c->meaning, &found);
        } else {
            set_column_unit(state, c->col, found);
        }
    }
}

/* Of several columns of readings the one whose unit nobody knows: what is asked of it holds for all. */
static size_t film_column(const struct mr_plan *plan) {
    for (size_t i = 0; i < plan->n; i++)
        if (plan->col[i].as.meaning == MR_M_FILM && plan->col[i].unit_unknown)
            return i;
    return mr_plan_column_of(plan, MR_M_FILM);
}

/* A film file without any unit: all its readings get the inferred one or go. */
static void infer_film(struct mr_file_state *files, size_t n, struct mr_file_state *state, struct mr_value_sample *s,
                       struct mr_value_sample *others) {
    size_t open = 0;
    for (size_t i = 0; i < state->records.readings.n; i++)
        open += state->records.readings.v[i].unit == MR_UNIT_NONE;
    if (!open)
        return;
    mr_sample_readings(state, s);
    size_t col = film_column(state->plan);
    struct mr_unit_evidence found = {MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    found = refused_unit(state, col);
    if (!found.denied)
        found = mr_legend_unit(state, col, state->plan->col[col].as.name, MR_DIM_FILM);
    if (found.unit == MR_UNIT_NONE && !found.denied && state->plan->kind == MR_KIND_THICKNESS)
        found = mr_unit_by_range(state, MR_M_FILM, s);
    if (found.unit == MR_UNIT_NONE && !found.denied) {
        mr_sample_job(files, n, state, MR_M_FILM, others);
        found = mr_unit_by_company(state, MR_M_FILM, s, others);
    }
    if (found.unit == MR_UNIT_NONE) {
        say_no_unit(state, col, MR_M_FILM, &found);
    } else {
        set_column_unit(state, col, found);
        state->film_inferred = true;
    }
    int8_t *fate = MR_ARRAY(state->scratch, int8_t, state->records.readings.n);
    for (size_t i = 0; i < state->records.readings.n; i++) {
        struct mr_reading *r = &state->records.readings.v[i];
        fate[i] =
            r->unit == MR_UNIT_NONE && found.unit == MR_UNIT_NONE ? (int8_t)MR_ASIDE_NO_UNIT : (int8_t)MR_FATE_USED;
        if (r->unit == MR_UNIT_NONE && found.unit != MR_UNIT_NONE) {
            r->unit = found.unit;
            r->film_um = mr_to_canonical(found.unit, r->written);
        }
    }
    if (found.unit == MR_UNIT_NONE)
        mr_readings_drop(state, fate);
}

/* Certified values have a unit or the file's film readings do; a verification file alone can use the range of shims.
 */
static void infer_checks(struct mr_file_state *files, size_t n, struct mr_file_state *state,
                         struct mr_value_sample *s, struct mr_value_sample *others) {
    s->n = s->whole = 0;
    for (size_t i = 0; i < state->records.verifications.n; i++)
        if (state->records.verifications.v[i].unit == MR_UNIT_NONE)
            mr_sample_add(s, state->records.verifications.v[i].reading_written);
    if (!s->n)
        return;
    others->n = others->whole = 0;
    for (size_t i = 0; i < n; i++)
        mr_sample_stated(&files[i], MR_KIND_THICKNESS, MR_M_FILM, others);
    struct mr_unit_evidence found = refused_unit(state, film_column(state->plan));
    if (!found.denied)
        found = mr_unit_by_range(state, MR_M_FILM, s);
    if (found.unit == MR_UNIT_NONE && !found.denied)
        found = mr_unit_by_company(state, MR_M_FILM, s, others);
    size_t col = film_column(state->plan), kept = 0;
    if (found.unit == MR_UNIT_NONE)
        say_no_unit(state, col, MR_M_FILM, &found);
    else
        set_column_unit(state, col, found);
    int8_t *fate = MR_ARRAY(state->scratch, int8_t, state->records.verifications.n);
    uint32_t *line = MR_ARRAY(state->scratch, uint32_t, state->records.verifications.n);
    size_t total = state->records.verifications.n;
    for (size_t i = 0; i < total; i++) {
        struct mr_verification *v = &state->records.verifications.v[i];
        line[i] = v->line;
        bool open = v->unit == MR_UNIT_NONE;
        fate[i] = open && found.unit == MR_UNIT_NONE ? (int8_t)MR_ASIDE_NO_UNIT : (int8_t)MR_FATE_USED;
        if (open) {
            v->unit = v->certified_unit = found.unit;
            v->reading_um = mr_to_canonical(found.unit, v->reading_written);
            v->certified_um = mr_to_canonical(found.unit, v->certified_written);
        }
        if (fate[i] == MR_FATE_USED)
            state->records.verifications.v[kept++] = *v;
    }
    state->records.verifications.n = kept;
    mr_rows_split(state, fate, line, total);
}

/* Values become canonical; what lies outside the physical range once the unit is known is left out. */
static void convert_log(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    for (size_t k = 0; k < log->channels.n; k++) {
        struct mr_log_channel *c = &log->channels.v[k];
        bool inferred = isinf(c->most);
        double least, most;
        mr_physical_range(&state->job->settings, c->meaning, &least, &most);
        if (c->dropped || (c->unit == mr_dim_canonical(mr_meaning_dim(c->meaning)) && !inferred))
            continue;
        mr_log_change(state);
        for (size_t i = 0; i < log->n; i++) {
            if (log->is_long && log->which[i] != k)
                continue;
            double *v = log->is_long ? &log->value[i] : &c->value[i];
            *v = mr_to_canonical(c->unit, *v);
            if (inferred && (*v < least || *v > most)) {
                *v = (double)NAN;
                state->count.values_left_out++;
                c->out_of_range++;
            }
        }
    }
}

/* Rows left without any value that has a unit. */
static void drop_unitless(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    bool any = false;
    for (size_t k = 0; k < log->channels.n; k++)
        any |= log->channels.v[k].dropped;
    if (!any || !log->n)
        return;
    int8_t *fate = MR_ARRAY(state->scratch, int8_t, log->n);
    for (size_t i = 0; i < log->n; i++) {
        fate[i] = (int8_t)MR_ASIDE_NO_UNIT;
        for (size_t k = 0; k < log->channels.n; k++)
            if (log->is_long ? log->which[i] == k && !log->channels.v[k].dropped
                             : !log->channels.v[k].dropped && !isnan(mr_log_value(&log->channels.v[k], i)))
                fate[i] = (int8_t)MR_FATE_USED;
    }
    mr_log_drop(state, fate);
}

void mr_infer_units(struct mr_file_state *files, size_t n) {
    if (!n)
        return;
    struct mr_value_sample *s = NULL, *others = NULL;
    for (size_t i = 0; i < n; i++) {
        struct mr_file_state *state = &files[i];
        if (!state->plan || state->plan->kind == MR_KIND_UNKNOWN)
            continue;
        s = s ? s : MR_NEW(state->scratch, struct mr_value_sample);
        others = others ? others : MR_NEW(state->scratch, struct mr_value_sample);
        infer_log(files, n, state, s, others);
        infer_film(files, n, state, s, others);
        infer_checks(files, n, state, s, others);
    }
    for (size_t i = 0; i < n; i++)
        if (files[i].plan && files[i].plan->kind != MR_KIND_UNKNOWN) {
            convert_log(&files[i]);
            drop_unitless(&files[i]);
            mr_log_close(&files[i]);
        }
}
