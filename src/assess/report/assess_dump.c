/*
 * assess_dump.c - the fourth stage as stable text: what goldens compare and reviewers read. Every figure with the
 * decimals that its check or column states; times as UTC, so that the text does not depend on the job's zone.
 */
#include "milrise/assess.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

struct text {
    struct mr_arena *arena;
    MR_VEC(char) out;
};

static void put(struct text *t, const char *s) {
    size_t n = strlen(s);
    if (t->out.n + n + 1 > t->out.cap) {
        size_t cap = (t->out.n + n + 1) * 2;
        t->out.v = mr_arena_grow(t->arena, t->out.v, t->out.cap, cap);
        t->out.cap = cap;
    }
    memcpy(t->out.v + t->out.n, s, n + 1);
    t->out.n += n;
}

static void putf(struct text *t, const char *format, ...) MR_PRINTF(2, 3);
static void putf(struct text *t, const char *format, ...) {
    va_list args;
    va_start(args, format);
    put(t, mr_vprintf(t->arena, format, args));
    va_end(args);
}

/* A figure in its own unit; "-" where there is none. */
static void put_number(struct text *t, double x, int decimals) {
    if (isnan(x))
        put(t, "-");
    else if (decimals < 0)
        putf(t, "%.6g", x);
    else
        putf(t, "%.*f", decimals, x);
}

static void put_time(struct text *t, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE) {
        put(t, "-");
        return;
    }
    int64_t day = t_utc_ms / 86400000 - (t_utc_ms % 86400000 < 0), ms = t_utc_ms - day * 86400000;
    int year, month, d;
    mr_civil_from_days(day, &year, &month, &d);
    putf(t, "%04d-%02d-%02dT%02d:%02d:%02d.%03dZ", year, month, d, (int)(ms / 3600000), (int)(ms / 60000 % 60),
         (int)(ms / 1000 % 60), (int)(ms % 1000));
}

static const char *zone_name(const struct mr_assessment *a, size_t zone) {
    return zone == MR_NONE ? "(job)" : a->aligned->zones.v[zone].name;
}

static void put_evidence(struct text *t, const mr_evidence_list *list) {
    for (size_t i = 0; i < list->n; i++) {
        const struct mr_evidence *e = &list->v[i];
        putf(t, "    at %s:%u", e->place.file == NULL ? "-" : e->place.file, e->place.line);
        if (e->place.line_end > e->place.line)
            putf(t, "-%u", e->place.line_end);
        putf(t, " %s\n", e->note == NULL ? "" : e->note);
    }
}

static void put_checks(struct text *t, const struct mr_assessment *a) {
    putf(t, "checks %zu\n", a->checks.n);
    for (size_t i = 0; i < a->checks.n; i++) {
        const struct mr_check *c = &a->checks.v[i];
        putf(t, "  %s | coat %d | %s | %s | ", zone_name(a, c->zone), c->coat, c->id, mr_outcome_text(c->outcome));
        put_number(t, c->measured, c->decimals);
        put(t, " in [");
        put_number(t, c->limit_low, c->decimals);
        put(t, ", ");
        put_number(t, c->limit_high, c->decimals);
        putf(t, "] %s | %s | %s\n", mr_unit_symbol(c->unit), c->rule == NULL ? "" : c->rule,
             c->detail == NULL ? "" : c->detail);
        put_evidence(t, &c->evidence);
    }
}

static void put_findings(struct text *t, const struct mr_assessment *a) {
    putf(t, "findings %zu\n", a->findings.n);
    for (size_t i = 0; i < a->findings.n; i++) {
        const struct mr_finding *f = &a->findings.v[i];
        putf(t, "  %s | %s | %s | coat %d | ", mr_severity_text(f->severity), f->id, zone_name(a, f->zone), f->coat);
        put_time(t, f->t0_utc_ms);
        put(t, " to ");
        put_time(t, f->t1_utc_ms);
        put(t, " | ");
        put_number(t, f->measured, f->decimals);
        put(t, " against ");
        put_number(t, f->limit, f->decimals);
        putf(t, " %s | %s\n", mr_unit_symbol(f->unit), f->what == NULL ? "" : f->what);
        put_evidence(t, &f->evidence);
    }
}

static void put_heats(struct text *t, const struct mr_assessment *a) {
    putf(t, "heats %zu\n", a->heats.n);
    for (size_t i = 0; i < a->heats.n; i++) {
        const struct mr_heat_event *h = &a->heats.v[i];
        putf(t, "  %s%s | coat %d | ", zone_name(a, h->zone), h->gun ? " gun" : "", h->coat);
        put_time(t, h->t_onset);
        put(t, " | rise ");
        put_number(t, h->rise_k, 3);
        put(t, " K | adiabatic ");
        put_number(t, h->rise_adiabatic_k, 3);
        put(t, " K | tau ");
        put_number(t, h->tau_s, 1);
        putf(t, " s | %s\n", h->fit_note == NULL ? "" : h->fit_note);
    }
}

static void put_value(struct text *t, const struct mr_value *v, int decimals) {
    switch (v->type) {
    case MR_V_BLANK:
        putf(t, "(%s)", v->text == NULL ? "" : v->text);
        break;
    case MR_V_TEXT:
        put(t, v->text == NULL ? "" : v->text);
        break;
    case MR_V_NUMBER:
        put_number(t, v->number, decimals);
        break;
    case MR_V_COUNT:
        putf(t, "%lld", (long long)v->count);
        break;
    case MR_V_TIME:
        put_time(t, v->count);
        break;
    case MR_V_OUTCOME:
        put(t, mr_outcome_text((enum mr_outcome)v->count));
        break;
    }
}

static void put_table(struct text *t, const struct mr_table *table) {
    putf(t, "table %s \"%s\" %zu rows\n ", table->id, table->title, table->n_rows);
    for (size_t i = 0; i < table->n_fields; i++)
        putf(t, " | %s%s%s", table->fields[i].key, table->fields[i].unit == MR_UNIT_NONE ? "" : " ",
             mr_unit_symbol(table->fields[i].unit));
    put(t, "\n");
    for (size_t r = 0; r < table->n_rows; r++) {
        put(t, " ");
        for (size_t i = 0; i < table->n_fields; i++) {
            put(t, " | ");
            put_value(t, &table->values.v[r * table->n_fields + i], table->fields[i].decimals);
        }
        put(t, "\n");
    }
}

static void put_story(struct text *t, const struct mr_assessment *a) {
    putf(t, "timeline %zu\n", a->timeline.n);
    for (size_t i = 0; i < a->timeline.n; i++) {
        const struct mr_shift_event *s = &a->timeline.v[i];
        putf(t, "  shift %zu | ", s->shift == MR_NONE ? 0 : s->shift + 1);
        put_time(t, s->t0_utc_ms);
        put(t, " to ");
        put_time(t, s->t1_utc_ms);
        putf(t, " | %s | %s | %s\n", zone_name(a, s->zone), mr_outcome_text(s->outcome),
             s->what == NULL ? "" : s->what);
    }
}

char *mr_assess_dump(struct mr_arena *arena, const struct mr_assessment *a) {
    struct text t = {.arena = arena};
    putf(&t, "assess: job %s%s\n", mr_outcome_text(a->outcome), a->judged ? "" : " (nothing could be judged)");
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        putf(&t, "zone %s: %s", zone_name(a, z), mr_outcome_text(a->zones[z].outcome));
        for (size_t g = 0; g < MR_COUNT(mr_groups); g++)
            putf(&t, " | %s %s", mr_groups[g], mr_outcome_text(a->zones[z].by_group[g]));
        putf(&t, " | %s\n", a->zones[z].worst);
    }
    put_checks(&t, a);
    put_findings(&t, a);
    put_heats(&t, a);
    put_story(&t, a);
    for (size_t i = 0; i < a->tables.n; i++)
        put_table(&t, a->tables.v[i]);
    return t.out.v;
}
