/*
 * clock_findings.c - the clocks of all instruments as a table, estimates that are findings, and what fits better than
 * the times or places as given, with the lines that settle it.
 */
#include "assess/finding/clock_hold.h"
#include "assess/report/provenance.h"

#include <math.h>

static const char *clock_name(const struct mr_clock *c) {
    return c->instrument != NULL && c->instrument[0] != '\0' ? c->instrument : "(not named)";
}

static void find_clock_error(struct mr_assess *a, size_t i) {
    const struct mr_clock *c = &a->aligned->clocks.v[i];
    struct mr_finding f = mr_blank_finding("clock-error", MR_WARNING, MR_NONE, 0);
    f.measured = c->est_offset_s;
    f.limit = mr_set_num(&a->job->settings, MR_CLOCK_FINDING);
    f.unit = MR_UNIT_S;
    f.decimals = 0;
    f.rule = "an instrument's clock agrees with the others and with the spray log";
    f.source = mr_source_of(a, &a->job->settings, MR_CLOCK_FINDING);
    f.what = mr_printf(a->arena, "The clock of %s seems to be %s %s (± %.0f s), by %zu events compared with %s%s.",
                       clock_name(c), mr_ms_text(a, fabs(c->est_offset_s) * 1000.0),
                       c->est_offset_s > 0.0 ? "fast" : "slow", c->est_spread_s, c->est_events,
                       c->est_against == NULL ? "the others" : c->est_against,
                       c->est_applied ? "; corrected by the estimate, as the job asks" : "; not corrected");
    f.next_step = c->est_applied ? "Check the instrument's clock and state its offset in the job file."
                                 : "Check the instrument's clock; state its `clock offset` in the job file, or set "
                                   "`apply estimated clocks = yes`.";
    for (size_t k = 0; k < a->aligned->tracks.n; k++) {
        if (a->aligned->tracks.v[k].clock != i || a->aligned->tracks.v[k].n == 0)
            continue;
        const struct mr_track *t = &a->aligned->tracks.v[k];
        mr_add_evidence(a, &f.evidence, mr_track_place(a->aligned, t, 0), "first sample of that clock");
        break;
    }
    mr_add_finding(a, &f);
}

/* --- what fits better than the times or places as given ------------------------------------------------- */

static const char *doubt_words(struct mr_assess *a, const struct mr_clock_doubt *d) {
    const char *who = mr_capitalised(a, d->who);
    bool several = d->kind == MR_DOUBT_CHANNELS || d->kind == MR_DOUBT_LOGGERS;
    if (d->kind == MR_DOUBT_ROW)
        return mr_printf(a->arena, "%s looks wrong: line pressures, heat or the order of the rows fit a start at %s.",
                         who, d->paste);
    const char *then =
        d->applied ? " Corrected, as the job asks." : " What depends on it is not shown until this is resolved.";
    if (d->seen == 0)
        return mr_printf(a->arena, "%s seem%s %s.%s", who, several ? "" : "s", d->looks, then);
    return mr_printf(
        a->arena,
        "%s seem%s %s: read that way, %s of the %zu coats that the records then cover %s; as recorded, %s.%s", who,
        several ? "" : "s", d->looks, d->fits == d->seen ? "each" : mr_printf(a->arena, "%zu", d->fits), d->seen,
        d->fits == d->seen || d->fits == 1 ? "fits" : "fit",
        d->fits_given == 0   ? "none does"
        : d->fits_given == 1 ? "1 does"
                             : mr_printf(a->arena, "%zu do", d->fits_given),
        then);
}

static void find_doubt(struct mr_assess *a, const struct mr_clock_doubt *d) {
    bool places = d->kind == MR_DOUBT_CHANNELS || d->kind == MR_DOUBT_LOGGERS;
    struct mr_finding f = mr_blank_finding(places                    ? "exchanged-probes"
                                           : d->kind == MR_DOUBT_ROW ? "log-date"
                                                                     : "wrong-clock",
                                           d->applied ? MR_NOTE : MR_WARNING, MR_NONE, 0);
    f.rule = "what the loggers saw of each coat falls into its window in the spray log";
    f.source = MR_SRC_PD;
    f.what = doubt_words(a, d);
    f.next_step = mr_doubt_next_step(a, d);
    for (size_t i = 0; i < d->places.n && i < 20; i++)
        mr_add_evidence(a, &f.evidence, d->places.v[i], "hangs on it");
    MR_PUSH(a->arena, &a->out->findings, f); /* nothing holds back the doubt itself */
}

void mr_assess_clocks(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"instrument", "Instrument", MR_UNIT_NONE, 0},
        {"time_zone", "Time zone", MR_UNIT_NONE, 0},
        {"offset_s", "Offset in force", MR_UNIT_S, 1},
        {"offset_from", "From", MR_UNIT_NONE, 0},
        {"drift_s_per_day", "Drift, s a day", MR_UNIT_NONE, 2},
        {"estimated_s", "Estimated remaining error", MR_UNIT_S, 1},
        {"spread_s", "Uncertainty (95 %)", MR_UNIT_S, 1},
        {"events", "Events", MR_UNIT_NONE, 0},
        {"unmatched", "Unmatched", MR_UNIT_NONE, 0},
        {"against", "Against", MR_UNIT_NONE, 0},
        {"gap_rows", "Times that do not exist", MR_UNIT_NONE, 0},
        {"fold_rows", "Times that exist twice, settled", MR_UNIT_NONE, 0},
        {"fold_rows_aside", "Times that exist twice, set aside", MR_UNIT_NONE, 0},
        {"note", "Note", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "clocks", "Clocks",
                     "Shown minus true: a fast clock has a positive offset. The estimate compares the onsets in each "
                     "log with the spray log and the other instruments; it is applied only where the job says so.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->aligned->clocks.n; i++) {
        const struct mr_clock *c = &a->aligned->clocks.v[i];
        struct mr_value none = mr_v_blank("no estimate");
        struct mr_value v[] = {
            mr_v_text(clock_name(c)),
            mr_v_text(c->time_zone),
            mr_v_num(c->offset_s),
            mr_v_text(c->est_applied ? "estimate"
                      : c->stated    ? "job file"
                                     : "not stated"),
            mr_v_num(c->drift_s_per_day),
            c->estimated ? mr_v_num(c->est_offset_s) : none,
            c->estimated ? mr_v_num(c->est_spread_s) : none,
            mr_v_count((int64_t)c->est_events),
            mr_v_count((int64_t)c->est_unmatched),
            mr_v_text(c->est_against == NULL ? "" : c->est_against),
            mr_v_count((int64_t)c->gap_rows),
            mr_v_count((int64_t)c->fold_rows_resolved),
            mr_v_count((int64_t)c->fold_rows_set_aside),
            mr_v_text(c->note == NULL ? "" : c->note),
        };
        mr_table_add(a->arena, table, v);
        if (c->estimated && c->est_finding)
            find_clock_error(a, i);
    }
    for (size_t i = 0; i < a->aligned->doubts.n; i++)
        find_doubt(a, &a->aligned->doubts.v[i]);
    if (table->n_rows > 0)
        mr_add_table(a, table);
}
