/*
 * assess_dump.c - the fourth stage as stable text: what goldens compare and reviewers read. Every figure with the
 * decimals that its check or column states; times as UTC, so that the text does not depend on the job's zone.
 */
#include "milrise/assess.h"

#include "base/buffer.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

/* Who takes the text, piece by piece; NULL: it is kept as a whole. */
struct dump_taker {
    void (*take)(void *ctx, const void *data, size_t n);
    void *ctx;
};

enum { PIECE = 1 << 16 };

static void hand_over(struct mr_buffer *t, const struct dump_taker *to, size_t from) {
    if (!to || t->v.n < from)
        return;
    to->take(to->ctx, t->v.v, t->v.n);
    t->v.n = 0;
}

/* A figure in its own unit; "-" where there is none. */
static void put_number(struct mr_buffer *t, double x, int decimals) {
    if (isnan(x))
        mr_buffer_text(t, "-");
    else if (decimals < 0)
        mr_buffer_put(t, "%.6g", x);
    else
        mr_buffer_put(t, "%.*f", decimals, x);
}

static void put_time(struct mr_buffer *t, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE) {
        mr_buffer_text(t, "-");
        return;
    }
    int64_t day = t_utc_ms / MR_DAY_MS - (t_utc_ms % MR_DAY_MS < 0), ms = t_utc_ms - day * MR_DAY_MS;
    int year, month, d;
    mr_civil_from_days(day, &year, &month, &d);
    mr_buffer_put(t, "%04d-%02d-%02dT%02d:%02d:%02d.%03dZ", year, month, d, (int)(ms / 3600000),
                  (int)(ms / 60000 % 60), (int)(ms / 1000 % 60), (int)(ms % 1000));
}

static const char *zone_name(const struct mr_assessment *a, size_t zone) {
    return zone == MR_NONE ? "(job)" : a->aligned->zones.v[zone].name;
}

static void put_evidence(struct mr_buffer *t, const mr_evidence_list *list) {
    for (size_t i = 0; i < list->n; i++) {
        const struct mr_evidence *e = &list->v[i];
        mr_buffer_put(t, "    at %s:%u", e->place.file == NULL ? "-" : e->place.file, e->place.line);
        if (e->place.line_end > e->place.line)
            mr_buffer_put(t, "-%u", e->place.line_end);
        mr_buffer_put(t, " %s\n", e->note == NULL ? "" : e->note);
    }
}

static void put_checks(struct mr_buffer *t, const struct dump_taker *to, const struct mr_assessment *a) {
    mr_buffer_put(t, "checks %zu\n", a->checks.n);
    for (size_t i = 0; i < a->checks.n; i++) {
        const struct mr_check *c = &a->checks.v[i];
        mr_buffer_put(t, "  %s | coat %d | %s | %s | ", zone_name(a, c->zone), c->coat, c->id,
                      mr_outcome_text(c->outcome));
        put_number(t, c->measured, c->decimals);
        mr_buffer_text(t, " in [");
        put_number(t, c->limit_low, c->decimals);
        mr_buffer_text(t, ", ");
        put_number(t, c->limit_high, c->decimals);
        mr_buffer_put(t, "] %s | %s | %s\n", mr_unit_symbol(c->unit), c->rule == NULL ? "" : c->rule,
                      c->detail == NULL ? "" : c->detail);
        put_evidence(t, &c->evidence);
        hand_over(t, to, PIECE);
    }
}

static void put_findings(struct mr_buffer *t, const struct dump_taker *to, const struct mr_assessment *a) {
    mr_buffer_put(t, "findings %zu\n", a->findings.n);
    for (size_t i = 0; i < a->findings.n; i++) {
        const struct mr_finding *f = &a->findings.v[i];
        mr_buffer_put(t, "  %s | %s | %s | coat %d | ", mr_severity_text(f->severity), f->id, zone_name(a, f->zone),
                      f->coat);
        put_time(t, f->t0_utc_ms);
        mr_buffer_text(t, " to ");
        put_time(t, f->t1_utc_ms);
        mr_buffer_text(t, " | ");
        put_number(t, f->measured, f->decimals);
        mr_buffer_text(t, " against ");
        put_number(t, f->limit, f->decimals);
        mr_buffer_put(t, " %s | %s\n", mr_unit_symbol(f->unit), f->what == NULL ? "" : f->what);
        put_evidence(t, &f->evidence);
        hand_over(t, to, PIECE);
    }
}

static void put_heats(struct mr_buffer *t, const struct mr_assessment *a) {
    mr_buffer_put(t, "heats %zu\n", a->heats.n);
    for (size_t i = 0; i < a->heats.n; i++) {
        const struct mr_heat_event *h = &a->heats.v[i];
        mr_buffer_put(t, "  %s%s | coat %d | ", zone_name(a, h->zone), h->gun ? " gun" : "", h->coat);
        put_time(t, h->t_onset);
        mr_buffer_text(t, " | rise ");
        put_number(t, h->rise_k, 3);
        mr_buffer_text(t, " K | adiabatic ");
        put_number(t, h->rise_adiabatic_k, 3);
        mr_buffer_text(t, " K | tau ");
        put_number(t, h->tau_s, 1);
        mr_buffer_put(t, " s | %s\n", h->fit_note == NULL ? "" : h->fit_note);
    }
}

static void put_value(struct mr_buffer *t, const struct mr_value *v, int decimals) {
    switch (v->type) {
    case MR_V_BLANK:
        mr_buffer_put(t, "(%s)", v->text == NULL ? "" : v->text);
        break;
    case MR_V_TEXT:
        mr_buffer_text(t, v->text == NULL ? "" : v->text);
        break;
    case MR_V_NUMBER:
        put_number(t, v->number, decimals);
        break;
    case MR_V_COUNT:
        mr_buffer_put(t, "%lld", (long long)v->count);
        break;
    case MR_V_TIME:
        put_time(t, v->count);
        break;
    case MR_V_OUTCOME:
        mr_buffer_text(t, mr_outcome_text((enum mr_outcome)v->count));
        break;
    }
}

static void put_table(struct mr_buffer *t, const struct dump_taker *to, const struct mr_table *table) {
    mr_buffer_put(t, "table %s \"%s\" %zu rows\n ", table->id, table->title, table->n_rows);
    for (size_t i = 0; i < table->n_fields; i++)
        mr_buffer_put(t, " | %s%s%s", table->fields[i].key, table->fields[i].unit == MR_UNIT_NONE ? "" : " ",
                      mr_unit_symbol(table->fields[i].unit));
    mr_buffer_text(t, "\n");
    for (size_t r = 0; r < table->n_rows; r++) {
        mr_buffer_text(t, " ");
        for (size_t i = 0; i < table->n_fields; i++) {
            mr_buffer_text(t, " | ");
            const struct mr_value v = mr_table_value(table, r, i);
            put_value(t, &v, table->fields[i].decimals);
        }
        mr_buffer_text(t, "\n");
        hand_over(t, to, PIECE);
    }
}

static void put_story(struct mr_buffer *t, const struct mr_assessment *a) {
    mr_buffer_put(t, "timeline %zu\n", a->timeline.n);
    for (size_t i = 0; i < a->timeline.n; i++) {
        const struct mr_shift_event *s = &a->timeline.v[i];
        mr_buffer_put(t, "  shift %zu | ", s->shift == MR_NONE ? 0 : s->shift + 1);
        put_time(t, s->t0_utc_ms);
        mr_buffer_text(t, " to ");
        put_time(t, s->t1_utc_ms);
        mr_buffer_put(t, " | %s | %s | %s\n", zone_name(a, s->zone), mr_outcome_text(s->outcome),
                      s->what == NULL ? "" : s->what);
    }
}

static void put_all(struct mr_buffer *t, const struct dump_taker *to, const struct mr_assessment *a) {
    mr_buffer_put(t, "assess: job %s%s\n", mr_outcome_text(a->outcome),
                  a->judged ? "" : " (nothing could be judged)");
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        mr_buffer_put(t, "zone %s: %s", zone_name(a, z), mr_outcome_text(a->zones[z].outcome));
        for (size_t g = 0; g < MR_COUNT(mr_groups); g++)
            mr_buffer_put(t, " | %s %s", mr_groups[g], mr_outcome_text(a->zones[z].by_group[g]));
        mr_buffer_put(t, " | %s\n", a->zones[z].worst);
    }
    put_checks(t, to, a);
    put_findings(t, to, a);
    put_heats(t, a);
    put_story(t, a);
    for (size_t i = 0; i < a->tables.n; i++)
        put_table(t, to, a->tables.v[i]);
    hand_over(t, to, 0);
}

char *mr_assess_dump(struct mr_arena *arena, const struct mr_assessment *a) {
    struct mr_buffer t = {.arena = arena};
    put_all(&t, NULL, a);
    return mr_buffer_end(&t);
}

void mr_assess_dump_to(struct mr_arena *arena, const struct mr_assessment *a,
                       void (*take)(void *ctx, const void *data, size_t n), void *ctx) {
    struct mr_buffer t = {.arena = arena};
    put_all(&t, &(struct dump_taker){take, ctx}, a);
}
