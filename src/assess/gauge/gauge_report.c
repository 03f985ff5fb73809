/*
 * gauge_report.c - what the verifications mean for each zone, and the table of them.
 */
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"
#include "assess/gauge/gauge.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

#define VERIFY_SOURCE "ASTM D7091, verification by the user; before and after each period of use from memory"

static struct mr_check gauge_check(const char *id, const char *title, size_t zone) {
    return (struct mr_check){.id = id,
                             .title = title,
                             .group = "gauge",
                             .zone = zone,
                             .measured = MR_NAN,
                             .limit_low = MR_NAN,
                             .limit_high = MR_NAN};
}

/* "12 of 45 readings: no verification of its gauge after it; 3: ..." */
static const char *reasons(struct mr_assess *a, const size_t *count) {
    const char *text = "";
    for (int b = MR_BRACKET_NO_TIME; b < MR_BRACKET_COUNT; b++)
        if (count[b])
            text = mr_printf(a->arena, "%s%s%zu: %s", text, *text ? "; " : "", count[b],
                             mr_bracket_text((enum mr_bracket)b));
    return text;
}

static void add_unbracketed(struct mr_assess *a, const struct mr_check *check, const size_t *count, size_t bad,
                            size_t n) {
    const struct mr_alignment *al = a->aligned;
    bool failed = count[MR_BRACKET_FAILED_BEFORE] || count[MR_BRACKET_FAILED_AFTER];
    struct mr_finding f = {
        .id = failed ? "readings-beside-failed-verification" : "unbracketed-readings",
        .severity = MR_WARNING,
        .zone = check->zone,
        .t0_utc_ms = MR_T_NONE,
        .t1_utc_ms = MR_T_NONE,
        .what = mr_printf(
            a->arena, "Zone %s: %zu of %zu readings do not lie between passing verifications of their gauge (%s).",
            al->zones.v[check->zone].name, bad, n, reasons(a, count)),
        .measured = 100.0 * (double)(n - bad) / (double)n,
        .limit = 100,
        .unit = MR_UNIT_PCT,
        .decimals = 1,
        .rule = check->rule,
        .source = check->source,
        .next_step = failed ? "Readings since the last passing verification are suspect: adjust the gauge, verify "
                              "it, and measure again."
                            : "Add the missing verifications to the job folder if they were made; otherwise verify "
                              "the gauge and measure again.",
        .evidence = check->evidence};
    mr_add_finding(a, &f);
}

static void check_brackets(struct mr_assess *a, const struct mr_gauges *g, size_t zone, const size_t *at, size_t n) {
    struct mr_check c = gauge_check("gauge.verified", "Gauge verified before and after", zone);
    size_t count[MR_BRACKET_COUNT] = {0}, bad = 0;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, n);
    for (size_t i = 0; i < n; i++) {
        const struct mr_reading *r = a->aligned->readings.v[at[i]].reading;
        count[g->bracket[at[i]]]++;
        if (g->bracket[at[i]] != MR_BRACKET_OK)
            lines[bad++] = (struct mr_line){r->file, r->line};
    }
    c.outcome = bad ? MR_NOT_SHOWN : MR_CONFORMS;
    c.measured = 100.0 * (double)(n - bad) / (double)n;
    c.limit_low = 100;
    c.unit = MR_UNIT_PCT;
    c.decimals = 1;
    c.rule = "every reading lies between two verifications of its gauge that passed";
    c.source = VERIFY_SOURCE;
    c.detail = bad ? mr_printf(a->arena, "%zu of %zu readings are not bracketed: %s.", bad, n, reasons(a, count))
                   : mr_printf(a->arena, "Every reading (%zu) lies between passing verifications.", n);
    mr_add_lines(a, &c.evidence, lines, bad, 0, "readings that are not bracketed");
    mr_add_check(a, &c);
    if (bad)
        add_unbracketed(a, &c, count, bad, n);
}

/* The certificate's last day counts to its end. */
static bool is_over(const struct mr_assess *a, int64_t until_local_ms, int64_t t_utc_ms) {
    return t_utc_ms != MR_T_NONE && mr_day_is_over(until_local_ms, mr_local_ms(a->aligned, t_utc_ms));
}

static bool is_expired(const struct mr_assess *a, const struct mr_instrument *gauge, int64_t t_utc_ms) {
    return gauge && is_over(a, gauge->certified_until_local_ms, t_utc_ms);
}

/* A probe with a section of its own in the job file has a certificate of its own. */
static const struct mr_instrument *probe_of(const struct mr_assess *a, const struct mr_reading *r) {
    return *r->probe ? mr_job_instrument(a->job, r->probe) : NULL;
}

static void add_expired(struct mr_assess *a, const struct mr_check *c, size_t late) {
    struct mr_finding f = {
        .id = "certificate-expired",
        .severity = MR_WARNING,
        .zone = c->zone,
        .t0_utc_ms = MR_T_NONE,
        .t1_utc_ms = MR_T_NONE,
        .measured = MR_NAN,
        .limit = MR_NAN,
        .rule = c->rule,
        .source = c->source,
        .what = mr_printf(a->arena, "Zone %s: %s taken after the certificate of gauge or probe expired.",
                          a->aligned->zones.v[c->zone].name, mr_count_text(a, late, "reading")),
        .next_step = "Have the gauge calibrated; ask the laboratory for its as-found condition, or measure again.",
        .evidence = c->evidence};
    mr_add_finding(a, &f);
}

static void check_certificate(struct mr_assess *a, const struct mr_gauges *g, size_t zone, const size_t *at,
                              size_t n) {
    struct mr_check c = gauge_check("gauge.certificate", "Gauge certificate in date", zone);
    MR_VEC(struct mr_line) late = {0};
    const struct mr_instrument *stated = NULL, *last = NULL;
    const char *last_name = NULL;
    size_t without = 0;
    for (size_t i = 0; i < n; i++) {
        const char *name = g->reading_gauge[at[i]];
        if (name != last_name)
            last = *name ? mr_job_instrument(a->job, name) : NULL;
        last_name = name;
        if (!last || last->certified_until_local_ms == MR_T_NONE) {
            without++;
            continue;
        }
        stated = last;
        const struct mr_reading *r = a->aligned->readings.v[at[i]].reading;
        if (is_expired(a, last, a->aligned->readings.v[at[i]].t_utc_ms) ||
            is_expired(a, probe_of(a, r), a->aligned->readings.v[at[i]].t_utc_ms))
            MR_PUSH(mr_work(a), &late, ((struct mr_line){r->file, r->line}));
    }
    c.rule = "the gauge's certificate is in date";
    c.source = "ASTM D7091, calibration; dates as the job states them";
    c.outcome = !stated ? MR_NOT_REQUIRED : late.n || without ? MR_NOT_SHOWN : MR_CONFORMS;
    if (!stated)
        c.detail = "The job states no certificate dates.";
    else if (late.n || without)
        c.detail = mr_printf(
            a->arena, "Readings after the certificate expired: %zu; readings of a gauge without a stated date: %zu.",
            late.n, without);
    else
        c.detail = mr_printf(a->arena, "Certificate %s covers every reading.",
                             *stated->certificate ? stated->certificate : "(no number stated)");
    mr_add_lines(a, &c.evidence, late.v, late.n, 0, "readings after the certificate expired");
    if (stated)
        mr_add_evidence(a, &c.evidence, stated->place, "certificate as stated");
    mr_add_check(a, &c);
    if (late.n)
        add_expired(a, &c, late.n);
}

/* The certificate of shims or plates, where the job dates it. */
static void check_shims(struct mr_assess *a, const struct mr_gauges *g, size_t zone) {
    const struct mr_setting *set = &a->job->settings.v[MR_DFT_REF_UNTIL];
    int64_t until;
    if (!set->set || !mr_scan_iso_local(set->text, strlen(set->text), &until))
        return;
    struct mr_check c = gauge_check("gauge.shims", "Certificate of the shims in date", zone);
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, g->checks.n);
    size_t late = 0;
    for (size_t i = 0; i < g->checks.n; i++) {
        const struct mr_checked *v = g->checks.v[i].checked;
        if (is_over(a, until, v->t_utc_ms))
            lines[late++] = (struct mr_line){v->check->file, v->check->line};
    }
    c.outcome = late ? MR_NOT_SHOWN : MR_CONFORMS;
    c.rule = "the certificate of the shims is in date";
    c.source = "ASTM D7091, calibration; date as the job states it";
    c.detail = late ? mr_printf(a->arena, "Verifications after the certificate of the shims expired: %zu.", late)
                    : "The certificate covers every verification.";
    mr_add_lines(a, &c.evidence, lines, late, 12, "verification after the certificate expired");
    mr_add_evidence(a, &c.evidence, set->place, "date as stated");
    mr_add_check(a, &c);
}

void mr_gauge_check_zone(struct mr_assess *a, const struct mr_gauges *gauges, size_t zone, const size_t *at,
                         size_t n) {
    if (n == 0)
        return;
    check_brackets(a, gauges, zone, at, n);
    check_certificate(a, gauges, zone, at, n);
    check_shims(a, gauges, zone);
}

static void add_failed(struct mr_assess *a, const struct mr_gauges *g, const struct mr_gauge_check *c) {
    const struct mr_verification *v = c->checked->check;
    enum mr_unit unit = a->job->display.film;
    double limit_um = g->by_sum ? c->tolerance_sum_um : c->tolerance_rss_um, off_um = v->reading_um - v->certified_um;
    struct mr_finding f = {
        .id = "failed-verification",
        .severity = MR_WARNING,
        .zone = MR_NONE,
        .t0_utc_ms = c->checked->t_utc_ms,
        .t1_utc_ms = c->checked->t_utc_ms,
        .measured = mr_from_canonical(unit, off_um),
        .limit = mr_from_canonical(unit, limit_um),
        .unit = unit,
        .decimals = unit == MR_UNIT_MIL ? 2 : 1,
        .what = mr_printf(a->arena, "Gauge %s read %g %s on a certified %g %s: outside the combined tolerance.",
                          *c->gauge ? c->gauge : "(not named)", v->reading_written, mr_unit_symbol(v->unit),
                          v->certified_written, mr_unit_symbol(v->certified_unit)),
        .rule = g->by_sum ? "tolerances of gauge and reference added"
                          : "root sum of squares of the tolerances of gauge and reference",
        .source = "ASTM D7091; both ways to combine from memory",
        .next_step = "Readings since the last passing verification are suspect: adjust the gauge, verify it, and "
                     "measure again."};
    mr_add_evidence(a, &f.evidence, mr_line_place(a, v->file, v->line), "verification");
    mr_add_finding(a, &f);
}

static void add_notes(struct mr_assess *a, const struct mr_gauges *g) {
    struct mr_finding f = {.severity = MR_NOTE,
                           .zone = MR_NONE,
                           .t0_utc_ms = MR_T_NONE,
                           .t1_utc_ms = MR_T_NONE,
                           .measured = MR_NAN,
                           .limit = MR_NAN,
                           .rule = "one gauge in the job",
                           .source = MR_SRC_PD};
    if (g->adopted) {
        f.id = "gauge-adopted";
        f.what = mr_printf(a->arena,
                           "Rows that name no gauge were taken as gauge %s, the only one named in the job's files.",
                           g->adopted);
        f.next_step = "State the gauge in the job file if that is wrong: [file] instrument.";
        mr_add_finding(a, &f);
    }
    if (g->wrong) {
        f.severity = MR_ERROR;
        f.id = "verification-tolerance";
        f.rule = "tolerances are stated";
        f.what = mr_printf(a->arena, "The tolerance for gauge verifications cannot be used (%s), so none passes.",
                           g->wrong);
        f.next_step = "Write it as 5 %, 2 um, or 2 um + 3 % under [thickness] in the job file.";
        mr_add_finding(a, &f);
    }
}

static void add_row(struct mr_assess *a, struct mr_table *t, const struct mr_gauges *g,
                    const struct mr_gauge_check *c) {
    const struct mr_verification *v = c->checked->check;
    enum mr_unit unit = a->job->display.film;
    const struct mr_value row[] = {
        mr_v_text(*c->gauge ? c->gauge : "(not named)"),
        mr_v_time(c->checked->t_utc_ms),
        mr_v_text(*v->when ? v->when : "(not said)"),
        mr_v_num(mr_from_canonical(unit, v->certified_um)),
        mr_v_num(mr_from_canonical(unit, v->reading_um)),
        mr_v_num(mr_from_canonical(unit, v->reading_um - v->certified_um)),
        mr_v_num(mr_from_canonical(unit, c->tolerance_rss_um)),
        mr_v_num(mr_from_canonical(unit, c->tolerance_sum_um)),
        mr_v_text(g->by_sum ? "sum" : "root sum of squares"),
        mr_v_text(c->pass ? "passed" : "failed"),
        mr_v_text(mr_printf(a->arena, "%s:%u", mr_line_place(a, v->file, v->line).file, v->line)),
    };
    mr_table_add(a->arena, t, row);
}

void mr_gauge_report(struct mr_assess *a, const struct mr_gauges *g) {
    enum mr_unit unit = a->job->display.film;
    int digits = unit == MR_UNIT_MIL ? 3 : 1;
    const struct mr_field fields[] = {
        {"gauge", "Gauge", MR_UNIT_NONE, 0},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"when", "Before or after", MR_UNIT_NONE, 0},
        {mr_film_key(a, "certified"), "Certified", unit, digits},
        {mr_film_key(a, "reading"), "Reading", unit, digits},
        {mr_film_key(a, "off"), "Deviation", unit, digits},
        {mr_film_key(a, "tolerance_rss"), "Tolerance, root sum of squares", unit, digits},
        {mr_film_key(a, "tolerance_sum"), "Tolerance, sum", unit, digits},
        {"in_force", "In force", MR_UNIT_NONE, 0},
        {"result", "Result", MR_UNIT_NONE, 0},
        {"where", "From", MR_UNIT_NONE, 0},
    };
    struct mr_table *t = mr_table_new(
        a->arena, "gauge-verifications", "Gauge verifications",
        "Readings on certified shims or plates. The tolerances of gauge and reference are combined in one of "
        "two common ways, the one in force is named (ASTM D7091, both from memory).",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < g->checks.n; i++) {
        add_row(a, t, g, &g->checks.v[i]);
        if (!g->checks.v[i].pass && !g->wrong)
            add_failed(a, g, &g->checks.v[i]);
    }
    add_notes(a, g);
    mr_add_table(a, t);
}
