/*
 * infer_units.c - units that nobody states. A unit is inferred only where the alternatives are ruled out: because
 * such values cannot occur on a site, because the file's own legend or the laws between its columns say so, or
 * because the job's other files of the kind, whose units are stated, agree with one unit only. Everything inferred is
 * reported as inferred. Where nothing decides, the values are set aside.
 */
#include "normalise/column/suggest.h"
#include "normalise/unit/unit_evidence.h"
#include "numeric/select.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SAMPLE_MOST = 4096, CANDIDATES = 4 };

/* Values of one meaning in one file, or over the files that state their unit. */
struct sample {
    size_t n;
    double v[SAMPLE_MOST];
    size_t whole; /* values without a fraction */
};

static void add_value(struct sample *s, double value) {
    if (isnan(value) || s->n == SAMPLE_MOST)
        return;
    s->v[s->n++] = value;
    s->whole += floor(value) >= value;
}

static double rank_of(struct sample *s, double share) {
    return s->n ? mr_select_kth(s->v, s->n, (size_t)(share * (double)(s->n - 1) + 0.5)) : (double)NAN;
}

static const enum mr_unit *candidates(enum mr_dim dim) {
    static const enum mr_unit temp[CANDIDATES] = {MR_UNIT_C, MR_UNIT_F, MR_UNIT_K, MR_UNIT_NONE};
    static const enum mr_unit share[CANDIDATES] = {MR_UNIT_PCT, MR_UNIT_FRACTION, MR_UNIT_NONE, MR_UNIT_NONE};
    static const enum mr_unit pressure[CANDIDATES] = {MR_UNIT_KPA, MR_UNIT_PSI, MR_UNIT_BAR, MR_UNIT_MPA};
    static const enum mr_unit film[CANDIDATES] = {MR_UNIT_UM, MR_UNIT_MIL, MR_UNIT_FILM_MM, MR_UNIT_FILM_IN};
    static const enum mr_unit none[CANDIDATES] = {MR_UNIT_NONE, MR_UNIT_NONE, MR_UNIT_NONE, MR_UNIT_NONE};
    return dim == MR_DIM_TEMP       ? temp
           : dim == MR_DIM_SHARE    ? share
           : dim == MR_DIM_PRESSURE ? pressure
           : dim == MR_DIM_FILM     ? film
                                    : none;
}

/* What stands on a site in practice, narrower than what an instrument can show. */
static bool usual(const struct mr_settings *settings, enum mr_meaning m, double least, double most, double middle) {
    switch (mr_meaning_dim(m)) {
    case MR_DIM_TEMP:
        return least >= mr_set_num(settings,
                                   m == MR_M_PROBE_TEMP || m == MR_M_STEEL ? MR_USUAL_PROBE_MIN : MR_USUAL_AIR_MIN) &&
               most <= mr_set_num(settings,
                                  m == MR_M_PROBE_TEMP || m == MR_M_STEEL ? MR_USUAL_PROBE_MAX : MR_USUAL_AIR_MAX);
    case MR_DIM_FILM:
        return middle >= mr_set_num(settings, MR_USUAL_FILM_MIN) && middle <= mr_set_num(settings, MR_USUAL_FILM_MAX);
    case MR_DIM_SHARE:
        return least >= 0.0 && most <= mr_set_num(settings, MR_PLAUSIBLE_RH_MAX);
    case MR_DIM_PRESSURE:
        return true; /* 85 may be kPa, psi or bar: a range never decides */
    case MR_DIM_NONE:
    case MR_DIM_RISE:
    case MR_DIM_AREA:
    case MR_DIM_LENGTH:
    case MR_DIM_VOLUME:
    case MR_DIM_MASS:
    case MR_DIM_DURATION:
        break;
    }
    return false;
}

static struct mr_unit_evidence by_range(struct mr_file_state *w, enum mr_meaning m, struct sample *s) {
    enum mr_dim dim = mr_meaning_dim(m);
    struct mr_unit_evidence found = {MR_UNIT_NONE, "", false};
    if (!s->n || (s->n < 3 && dim != MR_DIM_SHARE))
        return found;
    double least = rank_of(s, 0.01), most = rank_of(s, 0.99), middle = rank_of(s, 0.5);
    if (dim == MR_DIM_SHARE) { /* a share in percent that never passes 1 does not occur; 0 alone says nothing */
        if (most > 1.5)
            return (struct mr_unit_evidence){
                MR_UNIT_PCT, mr_printf(w->arena, "inferred: values up to %.4g are no fractions", most), false};
        if (s->n >= 3 && most > 0.05 && most <= 1.0 && s->whole < s->n)
            return (struct mr_unit_evidence){
                MR_UNIT_FRACTION, mr_printf(w->arena, "inferred: all values lie between %.3g and %.3g", least, most),
                false};
        return found;
    }
    size_t fits = 0;
    const enum mr_unit *c = candidates(dim);
    for (size_t i = 0; i < CANDIDATES && c[i] != MR_UNIT_NONE; i++)
        if (usual(&w->job->settings, m, mr_to_canonical(c[i], least), mr_to_canonical(c[i], most),
                  mr_to_canonical(c[i], middle))) {
            found.unit = c[i];
            fits++;
        }
    if (fits != 1 || dim == MR_DIM_PRESSURE)
        return (struct mr_unit_evidence){MR_UNIT_NONE, "", false};
    found.why = mr_printf(w->arena, "inferred: %.4g to %.4g can only be %s", least, most, mr_unit_symbol(found.unit));
    return found;
}

/* How far two medians are apart, in a measure that suits the dimension. */
static double distance(enum mr_dim dim, double a, double b) {
    if (dim == MR_DIM_TEMP)
        return fabs(a - b);
    return a > 0 && b > 0 ? fabs(log(a / b)) : (double)INFINITY;
}

static struct mr_unit_evidence by_company(struct mr_file_state *w, enum mr_meaning m, struct sample *s,
                                          struct sample *others) {
    struct mr_unit_evidence found = {MR_UNIT_NONE, "", false};
    enum mr_dim dim = mr_meaning_dim(m);
    if (s->n < 3 || others->n < 3)
        return found;
    double middle = rank_of(s, 0.5), reference = rank_of(others, 0.5), best = (double)INFINITY,
           next = (double)INFINITY;
    const enum mr_unit *c = candidates(dim);
    for (size_t i = 0; i < CANDIDATES && c[i] != MR_UNIT_NONE; i++) {
        double d = distance(dim, mr_to_canonical(c[i], middle), reference);
        if (d < best) {
            next = best;
            best = d;
            found.unit = c[i];
        } else if (d < next) {
            next = d;
        }
    }
    /* near the others: within 15 K, or within a factor of 2.5; and the next unit at least twice as far */
    double near = dim == MR_DIM_TEMP ? 15.0 : log(2.5);
    if (!(best <= near) || !(next >= 2 * best + (dim == MR_DIM_TEMP ? 5.0 : 0.3)))
        return (struct mr_unit_evidence){MR_UNIT_NONE, "", false};
    found.why =
        mr_printf(w->arena, "inferred: the job's other files of the kind show %.4g %s in the middle, this one %.4g",
                  reference, mr_unit_symbol(mr_dim_canonical(dim)), middle);
    return found;
}

/* --- samples ------------------------------------------------------------------------------------------------------
 */

static void sample_channel(const struct mr_log *log, size_t k, struct sample *out) {
    out->n = out->whole = 0;
    size_t step = log->n / SAMPLE_MOST + 1;
    for (size_t i = 0; i < log->n; i += step)
        if (!log->is_long)
            add_value(out, log->channels.v[k].value[i]);
        else if (log->which[i] == k)
            add_value(out, log->value[i]);
}

static void sample_readings(const struct mr_file_state *w, struct sample *out) {
    out->n = out->whole = 0;
    size_t step = w->readings.n / SAMPLE_MOST + 1;
    for (size_t i = 0; i < w->readings.n; i += step)
        if (w->readings.v[i].unit == MR_UNIT_NONE)
            add_value(out, w->readings.v[i].written);
}

static void add_stated(const struct mr_file_state *o, enum mr_kind kind, enum mr_meaning m, struct sample *out) {
    if (!o->plan || o->plan->kind != kind)
        return;
    for (size_t k = 0; k < o->log.channels.n; k++) {
        const struct mr_log_channel *c = &o->log.channels.v[k];
        if (c->meaning != m || c->unit == MR_UNIT_NONE || isinf(c->most) || o->log.is_long)
            continue;
        size_t step = o->log.n / 256 + 1;
        for (size_t i = 0; i < o->log.n; i += step)
            add_value(out, mr_to_canonical(c->unit, c->value[i]));
    }
    size_t step = o->readings.n / 256 + 1;
    for (size_t i = 0; i < o->readings.n; i += step)
        if (o->readings.v[i].unit != MR_UNIT_NONE && m == MR_M_FILM && !o->film_inferred)
            add_value(out, o->readings.v[i].film_um);
}

/* The two lines of the pump serve each other. */
static void gather_others(const struct mr_file_state *works, size_t n, const struct mr_file_state *self,
                          enum mr_meaning m, struct sample *out) {
    out->n = out->whole = 0;
    for (size_t i = 0; i < n; i++) {
        add_stated(&works[i], self->plan->kind, m, out);
        if (m == MR_M_LINE_A || m == MR_M_LINE_B)
            add_stated(&works[i], self->plan->kind, m == MR_M_LINE_A ? MR_M_LINE_B : MR_M_LINE_A, out);
    }
}

/* Lines of one file share its [file]. */
static void add_mend(struct mr_file_state *w, const char *line) {
    const char *file = mr_file_key(w->arena, w->source), *had = w->file->mend;
    bool begun = strncmp(had, file, strlen(file)) == 0;
    w->file->mend =
        mr_printf(w->arena, "%s%s%s%s%s", had, *had ? "\n" : "", begun ? "" : file, begun ? "" : "\n", line);
}

static void say_no_unit(struct mr_file_state *w, size_t col, enum mr_meaning m,
                        const struct mr_unit_evidence *found) {
    const char *others, *example = mr_unit_choice(m, &others), *name = w->plan->col[col].as.name;
    struct mr_place place = {.file = w->source->path, .line = w->source->header_line};
    name = mr_clean_text(w->scratch, name, strlen(name), 60);
    if (found->denied) {
        mr_diag_add(w->diags, MR_ERROR, "no-unit", place, name,
                    mr_printf(w->scratch, "Let the export use %s. Values set aside.", others),
                    "is not written in a unit that can be used: %s", found->why);
        return;
    }
    const char *line =
        mr_printf(w->arena, "%s = %s [%s]", mr_column_key(w->arena, w->source, col), mr_meaning_word(m), example);
    add_mend(w, mr_printf(w->arena, "%s\n# the unit is yours to check: %s", line, others));
    mr_diag_add(w->diags, MR_ERROR, "no-unit", place, name,
                mr_printf(w->scratch, "Write into job.milrise, with the right unit: %s / %s. Values set aside.",
                          mr_file_key(w->scratch, w->source), line),
                "has no unit, and nothing in the job tells which it is");
}

/* Temperatures of one file stand in one neighbourhood: the stated ones tell the bare ones' unit. Dew points are no
 * neighbours. */
static void gather_neighbours(const struct mr_file_state *w, enum mr_meaning m, struct sample *out) {
    static const enum mr_meaning near[] = {MR_M_AIR, MR_M_STEEL, MR_M_PROBE_TEMP};
    bool is_near = false;
    out->n = out->whole = 0;
    for (size_t i = 0; i < MR_COUNT(near); i++)
        is_near |= near[i] == m;
    for (size_t i = 0; i < MR_COUNT(near) && is_near; i++)
        add_stated(w, w->plan->kind, near[i], out);
}

static struct mr_unit_evidence by_neighbours(struct mr_file_state *w, enum mr_meaning m, struct sample *s,
                                             struct sample *others) {
    gather_neighbours(w, m, others);
    struct mr_unit_evidence found = by_company(w, m, s, others);
    if (found.unit != MR_UNIT_NONE)
        found.why = mr_printf(
            w->arena, "inferred: the file's temperatures with a unit show %.4g °C in the middle, this one %.4g",
            rank_of(others, 0.5), rank_of(s, 0.5));
    return found;
}

/* Line pressures are judged as shown by gauges; an absolute pressure is about one atmosphere more, and which one is
 * not known. */
static struct mr_unit_evidence absolute_pressure(const struct mr_file_state *w, size_t col) {
    struct mr_unit_evidence out = {MR_UNIT_NONE, "absolute pressures are no gauge pressures", false};
    bool pressure = mr_meaning_dim(w->plan->col[col].as.meaning) == MR_DIM_PRESSURE;
    const char *text = w->source->columns[col].text;
    out.denied = pressure && mr_says_absolute(mr_words_fold(w->scratch, text, strlen(text)));
    return out;
}

/* The file's own word first, then the laws between its columns, then what can occur, then neighbours and other files.
 */
static struct mr_unit_evidence infer_channel(struct mr_file_state *works, size_t n, struct mr_file_state *w, size_t k,
                                             struct sample *s, struct sample *others) {
    const struct mr_log_channel *c = &w->log.channels.v[k];
    struct mr_unit_evidence found = absolute_pressure(w, c->col);
    if (!found.denied)
        found = mr_legend_unit(w, c->col, c->name, mr_meaning_dim(c->meaning));
    if (found.denied || found.unit != MR_UNIT_NONE)
        return found;
    found = mr_vapour_unit(w, k);
    if (found.unit == MR_UNIT_NONE)
        found = by_range(w, c->meaning, s);
    if (found.unit == MR_UNIT_NONE)
        found = by_neighbours(w, c->meaning, s, others);
    if (found.unit != MR_UNIT_NONE)
        return found;
    gather_others(works, n, w, c->meaning, others);
    return by_company(w, c->meaning, s, others);
}

/* --- applying -----------------------------------------------------------------------------------------------------
 */

static void set_column_unit(struct mr_file_state *w, size_t col, struct mr_unit_evidence found) {
    struct mr_plan_column *c = &w->plan->col[col];
    c->as.unit = found.unit;
    c->as.unit_why = found.why;
    mr_diag_add(w->diags, MR_NOTE, "unit-inferred",
                (struct mr_place){.file = w->source->path, .line = w->source->header_line}, c->as.name,
                "State it in the job file to be sure.", "is taken as %s; %s", mr_unit_symbol(found.unit), found.why);
}

/* "RH %" with 0.68 in it: air is never that dry, and a hundredth of the humidity must not be judged. */
static void check_percent(struct mr_file_state *w, size_t k, struct sample *s) {
    struct mr_log_channel *c = &w->log.channels.v[k];
    if (c->meaning != MR_M_RH || c->unit != MR_UNIT_PCT || w->log.is_long ||
        strncmp(w->plan->col[c->col].as.unit_why, "job file", 8) == 0)
        return;
    sample_channel(&w->log, k, s);
    double most = rank_of(s, 1.0);
    if (!s->n || !(most > 0.05 && most <= 1.0) || s->whole == s->n)
        return;
    c->dropped = true;
    const char *line = mr_printf(w->arena, "%s = humidity [fraction]", mr_column_key(w->arena, w->source, c->col));
    add_mend(w, line);
    mr_diag_add(w->diags, MR_ERROR, "no-unit",
                (struct mr_place){.file = w->source->path, .line = w->source->header_line}, c->name,
                mr_printf(w->scratch, "If they are fractions, write into job.milrise: %s / %s. Values set aside.",
                          mr_file_key(w->scratch, w->source), line),
                "is called %%, but no value is above 1");
}

static void infer_log(struct mr_file_state *works, size_t n, struct mr_file_state *w, struct sample *s,
                      struct sample *others) {
    for (size_t k = 0; k < w->log.channels.n && w->log.n; k++)
        check_percent(w, k, s);
    for (size_t i = 0; i < 2 * w->log.channels.n && w->log.n; i++) {
        size_t k = i % w->log.channels.n;
        struct mr_log_channel *c = &w->log.channels.v[k];
        bool first = i < w->log.channels.n; /* humidity first: it may settle the others */
        if (c->unit != MR_UNIT_NONE || c->dropped || first != (c->meaning == MR_M_RH))
            continue;
        sample_channel(&w->log, k, s);
        if (!s->n) { /* nothing to settle: no probe was plugged in */
            c->dropped = true;
            continue;
        }
        struct mr_unit_evidence found = infer_channel(works, n, w, k, s, others);
        c->unit = found.unit;
        if (found.unit == MR_UNIT_NONE) {
            c->dropped = true;
            say_no_unit(w, c->col, c->meaning, &found);
        } else {
            set_column_unit(w, c->col, found);
        }
    }
}

/* A film file without any unit: all its readings get the inferred one or go. */
static void infer_film(struct mr_file_state *works, size_t n, struct mr_file_state *w, struct sample *s,
                       struct sample *others) {
    size_t open = 0;
    for (size_t i = 0; i < w->readings.n; i++)
        open += w->readings.v[i].unit == MR_UNIT_NONE;
    if (!open)
        return;
    sample_readings(w, s);
    size_t col = mr_plan_column_of(w->plan, MR_M_FILM);
    struct mr_unit_evidence found = {MR_UNIT_NONE, "", false};
    found = mr_legend_unit(w, col, w->plan->col[col].as.name, MR_DIM_FILM);
    if (found.unit == MR_UNIT_NONE && !found.denied && w->plan->kind == MR_KIND_THICKNESS)
        found = by_range(w, MR_M_FILM, s);
    if (found.unit == MR_UNIT_NONE && !found.denied) {
        gather_others(works, n, w, MR_M_FILM, others);
        found = by_company(w, MR_M_FILM, s, others);
    }
    if (found.unit == MR_UNIT_NONE) {
        say_no_unit(w, col, MR_M_FILM, &found);
    } else {
        set_column_unit(w, col, found);
        w->film_inferred = true;
    }
    int8_t *fate = MR_ARRAY(w->scratch, int8_t, w->readings.n);
    for (size_t i = 0; i < w->readings.n; i++) {
        struct mr_reading *r = &w->readings.v[i];
        fate[i] =
            r->unit == MR_UNIT_NONE && found.unit == MR_UNIT_NONE ? (int8_t)MR_ASIDE_NO_UNIT : (int8_t)MR_FATE_USED;
        if (r->unit == MR_UNIT_NONE && found.unit != MR_UNIT_NONE) {
            r->unit = found.unit;
            r->film_um = mr_to_canonical(found.unit, r->written);
        }
    }
    if (found.unit == MR_UNIT_NONE)
        mr_readings_drop(w, fate);
}

/* Certified values have a unit or the file's film readings do; a verification file alone can use the range of shims.
 */
static void infer_checks(struct mr_file_state *works, size_t n, struct mr_file_state *w, struct sample *s,
                         struct sample *others) {
    s->n = s->whole = 0;
    for (size_t i = 0; i < w->verifications.n; i++)
        if (w->verifications.v[i].unit == MR_UNIT_NONE)
            add_value(s, w->verifications.v[i].reading_written);
    if (!s->n)
        return;
    others->n = others->whole = 0;
    for (size_t i = 0; i < n; i++)
        add_stated(&works[i], MR_KIND_THICKNESS, MR_M_FILM, others);
    struct mr_unit_evidence found = by_range(w, MR_M_FILM, s);
    if (found.unit == MR_UNIT_NONE)
        found = by_company(w, MR_M_FILM, s, others);
    size_t col = mr_plan_column_of(w->plan, MR_M_FILM), kept = 0;
    if (found.unit == MR_UNIT_NONE)
        say_no_unit(w, col, MR_M_FILM, &found);
    else
        set_column_unit(w, col, found);
    int8_t *fate = MR_ARRAY(w->scratch, int8_t, w->verifications.n);
    uint32_t *line = MR_ARRAY(w->scratch, uint32_t, w->verifications.n);
    size_t total = w->verifications.n;
    for (size_t i = 0; i < total; i++) {
        struct mr_verification *v = &w->verifications.v[i];
        line[i] = v->line;
        bool open = v->unit == MR_UNIT_NONE;
        fate[i] = open && found.unit == MR_UNIT_NONE ? (int8_t)MR_ASIDE_NO_UNIT : (int8_t)MR_FATE_USED;
        if (open) {
            v->unit = found.unit;
            v->reading_um = mr_to_canonical(found.unit, v->reading_written);
            v->certified_um = mr_to_canonical(found.unit, v->certified_written);
        }
        if (fate[i] == MR_FATE_USED)
            w->verifications.v[kept++] = *v;
    }
    w->verifications.n = kept;
    mr_rows_split(w, fate, line, total);
}

/* Values become canonical; what lies outside the physical range once the unit is known is left out. */
static void convert_log(struct mr_file_state *w) {
    struct mr_log *log = &w->log;
    for (size_t k = 0; k < log->channels.n; k++) {
        struct mr_log_channel *c = &log->channels.v[k];
        bool inferred = isinf(c->most);
        double least, most;
        mr_physical_range(&w->job->settings, c->meaning, &least, &most);
        if (c->dropped || (c->unit == mr_dim_canonical(mr_meaning_dim(c->meaning)) && !inferred))
            continue;
        for (size_t i = 0; i < log->n; i++) {
            if (log->is_long && log->which[i] != k)
                continue;
            double *v = log->is_long ? &log->value[i] : &c->value[i];
            *v = mr_to_canonical(c->unit, *v);
            if (inferred && (*v < least || *v > most)) {
                *v = (double)NAN;
                w->values_left_out++;
            }
        }
    }
}

/* Rows left without any value that has a unit. */
static void drop_unitless(struct mr_file_state *w) {
    struct mr_log *log = &w->log;
    bool any = false;
    for (size_t k = 0; k < log->channels.n; k++)
        any |= log->channels.v[k].dropped;
    if (!any || !log->n)
        return;
    int8_t *fate = MR_ARRAY(w->scratch, int8_t, log->n);
    for (size_t i = 0; i < log->n; i++) {
        fate[i] = (int8_t)MR_ASIDE_NO_UNIT;
        for (size_t k = 0; k < log->channels.n; k++)
            if (log->is_long ? log->which[i] == k && !log->channels.v[k].dropped
                             : !log->channels.v[k].dropped && !isnan(log->channels.v[k].value[i]))
                fate[i] = (int8_t)MR_FATE_USED;
    }
    mr_log_drop(w, fate);
}

void mr_infer_units(struct mr_file_state *works, size_t n) {
    if (!n)
        return;
    struct sample *s = NULL, *others = NULL;
    for (size_t i = 0; i < n; i++) {
        struct mr_file_state *w = &works[i];
        if (!w->plan || w->plan->kind == MR_KIND_UNKNOWN)
            continue;
        s = s ? s : MR_NEW(w->scratch, struct sample);
        others = others ? others : MR_NEW(w->scratch, struct sample);
        infer_log(works, n, w, s, others);
        infer_film(works, n, w, s, others);
        infer_checks(works, n, w, s, others);
    }
    for (size_t i = 0; i < n; i++)
        if (works[i].plan && works[i].plan->kind != MR_KIND_UNKNOWN) {
            convert_log(&works[i]);
            drop_unitless(&works[i]);
        }
}
