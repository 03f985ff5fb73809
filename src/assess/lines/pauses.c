/*
 * pauses.c - what happened while nobody sprayed: were the lines relieved in time, was the equipment cleaned out?
 *
 * A pause runs from the end of one stretch of spraying to the start of the next, over all zones: the lines are one
 * system. Its check belongs to the zone sprayed next, for that zone received what stood in the lines. After the last
 * window the pause reaches as far as any data do, and belongs to the job. Relieved is what the pressures show; the
 * log's word counts where no pressures are. A lot that changes is shown, and is not taken for a change of material.
 *
 * Not seen: a trigger that rests inside a window while the lines stay charged. No pressure tells it from slow
 * spraying.
 */
#include "assess/lines/lines.h"
#include "assess/lines/relief.h"

#include "assess/climate/sweep.h"
#include "numeric/search.h"

#include <math.h>
#include <string.h>

struct pause {
    int64_t t0_ms, t1_ms;
    size_t before, after; /* windows; after MR_NONE: the end of the work */
    bool inner;           /* inside a window, both lines seen down */
    const struct mr_settings *settings;
    int64_t relieved_ms; /* from when on the lines were relieved, and with them the main where it is logged */
    struct mr_relief seen;
    double coverage_pct, main_coverage_pct;       /* of the time in which relief was due: both lines, the main */
    const struct mr_action_at *relief, *cleanout; /* as logged; NULL */
    struct mr_line_tracks tracks;
    enum mr_outcome relief_outcome, cleanout_outcome;
    const char *note;
};

/* --- relief ------------------------------------------------------------------------------------------ */

static double cover_pct(const struct mr_track *track, int64_t t0_ms, int64_t t1_ms, int64_t gap_ms) {
    double span = (double)(t1_ms - t0_ms);
    return track == NULL || span <= 0.0 ? 0.0 : 100.0 * mr_track_cover_ms(track, t0_ms, t1_ms, gap_ms) / span;
}

static void see_relief(struct mr_assess *a, struct pause *p) {
    int64_t gap = mr_setting_ms(p->settings, MR_LINE_GAP), due = p->t0_ms + mr_setting_ms(p->settings, MR_PAUSE_MAX);
    int64_t judged_to = due < p->t1_ms ? due : p->t1_ms;
    p->tracks = mr_line_tracks_for(a->aligned, a->aligned->windows.v[p->before].zone, p->t0_ms, judged_to, gap);
    p->seen = mr_relief_in(&p->tracks, p->t0_ms, p->t1_ms, mr_set_num(p->settings, MR_RELIEVED_BELOW),
                           mr_setting_ms(p->settings, MR_RELIEF_TIME), gap);
    p->coverage_pct =
        fmin(cover_pct(p->tracks.a, p->t0_ms, judged_to, gap), cover_pct(p->tracks.b, p->t0_ms, judged_to, gap));
    p->main_coverage_pct = cover_pct(p->tracks.main, p->t0_ms, judged_to, gap);
}

/* The first logged action of a kind that begins in t0..t1. */
static const struct mr_action_at *logged(const struct mr_alignment *aligned, enum mr_action kind, int64_t t0_ms,
                                         int64_t t1_ms) {
    for (size_t i = 0; i < aligned->actions.n; i++) {
        const struct mr_action_at *at = &aligned->actions.v[i];
        if (at->log->action == kind && at->t0_utc_ms >= t0_ms && at->t0_utc_ms <= t1_ms)
            return at;
    }
    return NULL;
}

/* Longer than the limit; never where the job sets none. */
static bool is_long(const struct pause *p) {
    return !isnan(mr_set_num(p->settings, MR_PAUSE_MAX)) &&
           p->t1_ms - p->t0_ms > mr_setting_ms(p->settings, MR_PAUSE_MAX);
}

/* Both lines and the main down together in time relieve; lines or main seen up throughout condemn. What is not seen
 * goes by the log. */
static void judge_relief(struct mr_assess *a, struct pause *p) {
    int64_t max = mr_setting_ms(p->settings, MR_PAUSE_MAX), minute = 60000, due = p->t0_ms + max;
    if (!is_long(p))
        return;
    see_relief(a, p);
    /* Hand-written times are whole minutes: an action may seem to begin a minute before spraying ended. */
    p->relief = logged(a->aligned, MR_ACTION_RELIEVE, p->t0_ms - minute, p->t1_ms);
    if (p->relief == NULL)
        p->relief = logged(a->aligned, MR_ACTION_CLEAN_OUT, p->t0_ms - minute, p->t1_ms);
    double enough = mr_set_num(p->settings, MR_LINE_COVER);
    bool logged_in_time = p->relief != NULL && p->relief->t0_utc_ms <= due;
    bool lines_in_time = p->seen.lines_ms != MR_T_NONE && p->seen.lines_ms <= due;
    bool lines_seen = !mr_below(p->coverage_pct, enough), main_seen = !mr_below(p->main_coverage_pct, enough);
    bool main_late = lines_in_time && lines_seen && main_seen && p->seen.main_up > 1;
    p->relieved_ms = main_seen || p->seen.all_ms != MR_T_NONE ? p->seen.all_ms : p->seen.lines_ms;
    if (p->seen.all_ms != MR_T_NONE && p->seen.all_ms <= due)
        p->relief_outcome = MR_CONFORMS;
    else if ((lines_seen && !lines_in_time && p->seen.charged > 1) || main_late)
        p->relief_outcome = MR_DOES_NOT_CONFORM;
    else
        p->relief_outcome = logged_in_time ? MR_CONFORMS : MR_NOT_SHOWN;
    if (p->relief_outcome == MR_DOES_NOT_CONFORM)
        p->note = logged_in_time ? "the log says they were relieved, the pressures do not"
                  : main_late    ? "the lines came down in time, the main did not"
                                 : NULL;
    else if (p->seen.all_ms == MR_T_NONE || p->seen.all_ms > due)
        p->note = lines_in_time && !main_seen        ? "the lines came down, and the main pressure is not logged"
                  : p->relief_outcome == MR_CONFORMS ? "relieved as logged; no pressures to confirm it"
                                                     : NULL;
}

static void judge_cleanout(struct mr_assess *a, struct pause *p) {
    int64_t after = mr_setting_ms(p->settings, MR_CLEANOUT_AFTER);
    if (isnan(mr_set_num(p->settings, MR_CLEANOUT_AFTER)) || p->t1_ms - p->t0_ms <= after)
        return;
    p->cleanout = logged(a->aligned, MR_ACTION_CLEAN_OUT, p->t0_ms - 60000, p->t1_ms);
    p->cleanout_outcome = p->cleanout != NULL ? MR_CONFORMS : MR_NOT_SHOWN;
}

/* --- checks and findings ----------------------------------------------------------------------------- */

/* Until when line A was logged without a gap; nothing is known of the pressures after that. */
static int64_t logged_until(const struct pause *p) {
    const struct mr_track *a = p->tracks.a;
    const int64_t gap_ms = mr_setting_ms(p->settings, MR_LINE_GAP),
                  due = p->t0_ms + mr_setting_ms(p->settings, MR_PAUSE_MAX);
    if (!a)
        return p->t1_ms;
    int64_t until = p->t0_ms;
    for (size_t i = mr_track_first(a, p->t0_ms + 1);
         i < a->n && mr_track_ms(a, i) <= p->t1_ms && mr_track_ms(a, i) - until <= gap_ms; i++)
        until = mr_track_ms(a, i);
    until = until < due && due < p->t1_ms ? due : until; /* as far as it was judged */
    return p->t1_ms - until <= gap_ms ? p->t1_ms : until;
}

static double charged_ms(const struct pause *p) {
    if (p->relieved_ms != MR_T_NONE)
        return (double)(p->relieved_ms - p->t0_ms);
    return p->relief_outcome == MR_DOES_NOT_CONFORM ? (double)(logged_until(p) - p->t0_ms) : MR_NAN;
}

static void place_of(const struct mr_assess *a, const struct pause *p, size_t *out_zone, int *out_coat) {
    *out_zone = p->after == MR_NONE ? MR_NONE : a->aligned->windows.v[p->after].zone;
    *out_coat = p->after == MR_NONE ? 0 : a->aligned->windows.v[p->after].coat;
}

static void pause_evidence(struct mr_assess *a, const struct pause *p, mr_evidence_list *list) {
    int64_t max = mr_setting_ms(p->settings, MR_PAUSE_MAX),
            end = p->t0_ms + 2 * max < p->t1_ms ? p->t0_ms + 2 * max : p->t1_ms;
    if (p->relieved_ms != MR_T_NONE && p->relieved_ms < end)
        end = p->relieved_ms;
    mr_evidence_track(a, list, p->tracks.a, p->t0_ms, end, "line A after spraying stopped");
    if (p->tracks.b != NULL && p->tracks.a != NULL && strcmp(p->tracks.a->instrument, p->tracks.b->instrument) != 0)
        mr_evidence_track(a, list, p->tracks.b, p->t0_ms, end, "line B after spraying stopped");
    if (p->relief != NULL)
        mr_add_evidence(a, list, p->relief->place, "relief as logged");
    mr_add_evidence(a, list, a->aligned->windows.v[p->before].place, "sprayed before the pause");
    if (p->after != MR_NONE && !p->inner)
        mr_add_evidence(a, list, a->aligned->windows.v[p->after].place, "sprayed after the pause");
}

static const char *relief_words(struct mr_assess *a, const struct pause *p) {
    if (p->relief_outcome != MR_DOES_NOT_CONFORM && p->note != NULL)
        return p->note;
    if (p->relieved_ms != MR_T_NONE)
        return mr_printf(a->arena, "the lines stayed charged for %s", mr_ms_text(a, charged_ms(p)));
    if (p->relief_outcome == MR_DOES_NOT_CONFORM && logged_until(p) == p->t1_ms)
        return "the lines stayed charged throughout";
    if (p->relief_outcome == MR_DOES_NOT_CONFORM)
        return mr_printf(a->arena, "the lines were still charged after %s, when the log of them ends or breaks off",
                         mr_ms_text(a, charged_ms(p)));
    return p->note != NULL ? p->note : "nothing shows whether the lines were relieved";
}

static void add_relief(struct mr_assess *a, const struct pause *p) {
    if (p->relief_outcome == MR_NOT_REQUIRED)
        return;
    struct mr_check c = mr_blank_check("lines.pause", "Pause with charged lines", "lines", 0, 0);
    struct mr_limit max = mr_limit_of(a, p->settings, MR_PAUSE_MAX);
    place_of(a, p, &c.zone, &c.coat);
    c.outcome = p->relief_outcome;
    c.unit = max.unit;
    c.decimals = 1;
    c.measured = mr_from_canonical(max.unit, charged_ms(p) / 1000.0);
    c.limit_high = max.written;
    c.rule = "lines are relieved in a pause longer than the limit";
    c.source = max.source;
    c.detail = mr_printf(a->arena, "Pause of %s from %s: %s.", mr_ms_text(a, (double)(p->t1_ms - p->t0_ms)),
                         mr_moment_text(a, p->t0_ms), relief_words(a, p));
    pause_evidence(a, p, &c.evidence);
    mr_add_check(a, &c);
    if (c.outcome == MR_CONFORMS)
        return;
    bool bad = c.outcome == MR_DOES_NOT_CONFORM;
    struct mr_finding f = mr_finding_of(&c, bad ? "charged-pause" : "pause-not-shown", bad ? MR_ERROR : MR_WARNING);
    f.t0_utc_ms = p->t0_ms;
    f.t1_utc_ms = p->t1_ms;
    const char *next = p->after == MR_NONE ? "" : mr_printf(a->arena, " before %s", mr_zone_label(a, f.zone, f.coat));
    f.what = mr_printf(a->arena, "Pause of %s%s, %s: %s%s%s.", mr_ms_text(a, (double)(p->t1_ms - p->t0_ms)), next,
                       mr_span_text(a, p->t0_ms, p->t1_ms), relief_words(a, p), p->note != NULL && bad ? "; " : "",
                       p->note != NULL && bad ? p->note : "");
    f.next_step =
        bad ? p->after == MR_NONE
                  ? "Strip the gun and look for set material before spraying again."
                  : "Examine the first film sprayed after the pause; strip the gun and look for set material."
            : "Log when the lines were relieved, or add the pressure logger's export for the pause.";
    f.caution = mr_caution_mix;
    mr_add_finding(a, &f);
}

static void add_cleanout(struct mr_assess *a, const struct pause *p) {
    if (p->cleanout_outcome == MR_NOT_REQUIRED)
        return;
    struct mr_check c = mr_blank_check("lines.clean-out", "Clean-out in a long pause", "lines", 0, 0);
    struct mr_limit after = mr_limit_of(a, p->settings, MR_CLEANOUT_AFTER);
    place_of(a, p, &c.zone, &c.coat);
    c.outcome = p->cleanout_outcome;
    c.unit = after.unit;
    c.decimals = 1;
    c.measured = mr_from_canonical(after.unit, (double)(p->t1_ms - p->t0_ms) / 1000.0);
    c.limit_high = after.written;
    c.rule = "a pause longer than the limit has a full clean-out";
    c.source = after.source;
    c.detail = mr_printf(a->arena, "Pause of %s from %s; %s.", mr_ms_text(a, (double)(p->t1_ms - p->t0_ms)),
                         mr_moment_text(a, p->t0_ms),
                         p->cleanout != NULL ? "a clean-out is logged" : "no clean-out is logged");
    if (p->cleanout != NULL)
        mr_add_evidence(a, &c.evidence, p->cleanout->place, "clean-out as logged");
    mr_add_evidence(a, &c.evidence, a->aligned->windows.v[p->before].place, "sprayed before the pause");
    mr_add_check(a, &c);
    if (c.outcome == MR_CONFORMS)
        return;
    struct mr_finding f = mr_finding_of(&c, "no-clean-out", MR_WARNING);
    f.t0_utc_ms = p->t0_ms;
    f.t1_utc_ms = p->t1_ms;
    f.what = mr_printf(a->arena, "A pause of %s, %s, and no clean-out is logged in it.",
                       mr_ms_text(a, (double)(p->t1_ms - p->t0_ms)), mr_span_text(a, p->t0_ms, p->t1_ms));
    f.next_step =
        "Log the clean-out if it was done; if not, strip the gun and flush both lines before spraying again.";
    f.caution = mr_caution_mix;
    mr_add_finding(a, &f);
}

/* --- the table --------------------------------------------------------------------------------------- */

static struct mr_table *new_table(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"start", "Start", MR_UNIT_NONE, 0},
        {"stop", "Stop", MR_UNIT_NONE, 0},
        {"duration_min", "Duration", MR_UNIT_MIN, 1},
        {"zone_before", "Sprayed before", MR_UNIT_NONE, 0},
        {"zone_after", "Sprayed after", MR_UNIT_NONE, 0},
        {"relieved_at", "Lines seen relieved", MR_UNIT_NONE, 0},
        {"charged_min", "Charged for", MR_UNIT_MIN, 1},
        {"relief_logged", "Relief logged", MR_UNIT_NONE, 0},
        {"relief", "Relief", MR_UNIT_NONE, 0},
        {"cleanout_logged", "Clean-out logged", MR_UNIT_NONE, 0},
        {"cleanout", "Clean-out", MR_UNIT_NONE, 0},
        {"lots", "Lots", MR_UNIT_NONE, 0},
        {"note", "Note", MR_UNIT_NONE, 0},
    };
    return mr_table_new(
        a->arena, "pauses", "Pauses",
        "Pauses in spraying over all zones. A pause longer than its limit needs the lines relieved, a much longer "
        "one a "
        "full clean-out (common practice). The pressures decide; the log counts where there are none.",
        MR_COUNT(fields), fields);
}

static const char *lot_change(struct mr_assess *a, const struct pause *p) {
    const struct mr_spray *x = a->aligned->windows.v[p->before].log;
    const struct mr_spray *y = p->after == MR_NONE ? NULL : a->aligned->windows.v[p->after].log;
    if (x == NULL || y == NULL)
        return "";
    const char *text = "";
    if (x->lot_a[0] != '\0' && y->lot_a[0] != '\0' && strcmp(x->lot_a, y->lot_a) != 0)
        text = mr_printf(a->arena, "A: %s, then %s", x->lot_a, y->lot_a);
    if (x->lot_b[0] != '\0' && y->lot_b[0] != '\0' && strcmp(x->lot_b, y->lot_b) != 0)
        text = mr_printf(a->arena, "%s%sB: %s, then %s", text, text[0] == '\0' ? "" : "; ", x->lot_b, y->lot_b);
    return text;
}

static void add_row(struct mr_assess *a, struct mr_table *table, const struct pause *p) {
    const struct mr_window *before = &a->aligned->windows.v[p->before];
    const struct mr_window *after = p->after == MR_NONE ? NULL : &a->aligned->windows.v[p->after];
    double charged = charged_ms(p);
    struct mr_value v[] = {
        mr_v_time(p->t0_ms),
        mr_v_time(p->t1_ms),
        mr_v_num((double)(p->t1_ms - p->t0_ms) / 60e3),
        mr_v_text(mr_coat_label(a, before->zone, before->coat)),
        after == NULL ? mr_v_blank("end of the work") : mr_v_text(mr_coat_label(a, after->zone, after->coat)),
        p->relieved_ms == MR_T_NONE ? mr_v_blank(p->relief_outcome == MR_NOT_REQUIRED ? "" : "not seen")
                                    : mr_v_time(p->relieved_ms),
        isnan(charged) || p->relief_outcome == MR_NOT_REQUIRED ? mr_v_blank("") : mr_v_num(charged / 60e3),
        p->relief == NULL ? mr_v_blank("") : mr_v_time(p->relief->t0_utc_ms),
        mr_v_outcome((int)p->relief_outcome),
        p->cleanout == NULL ? mr_v_blank("") : mr_v_time(p->cleanout->t0_utc_ms),
        mr_v_outcome((int)p->cleanout_outcome),
        mr_v_text(lot_change(a, p)),
        mr_v_text(p->inner          ? "inside a window, both lines down"
                  : p->note == NULL ? ""
                                    : p->note),
    };
    mr_table_add(a->arena, table, v);
}

/* A pause that outlasts its shift is told as long as someone was still at the lines: until relief or clean-out. */
static int64_t told_until(const struct mr_assess *a, const struct pause *p) {
    size_t shift = a->aligned->windows.v[p->before].shift;
    if (p->after != MR_NONE && a->aligned->windows.v[p->after].shift == shift)
        return p->t1_ms;
    int64_t until =
        p->relieved_ms != MR_T_NONE ? p->relieved_ms : p->t0_ms + mr_setting_ms(p->settings, MR_PAUSE_MAX);
    if (p->relief != NULL && p->relief->t1_utc_ms > until)
        until = p->relief->t1_utc_ms;
    if (p->cleanout != NULL && p->cleanout->t1_utc_ms > until)
        until = p->cleanout->t1_utc_ms;
    return until < p->t1_ms ? until : p->t1_ms;
}

static void tell_pause(struct mr_assess *a, const struct pause *p) {
    size_t zone;
    int coat;
    place_of(a, p, &zone, &coat);
    const struct mr_window *before = &a->aligned->windows.v[p->before];
    struct mr_shift_event s = {
        MR_EVENT_PAUSE,
        before->shift,
        p->t0_ms,
        told_until(a, p),
        zone,
        mr_printf(a->arena, "pause of %s: %s", mr_ms_text(a, (double)(p->t1_ms - p->t0_ms)), relief_words(a, p)),
        mr_outcome_worst(p->relief_outcome, p->cleanout_outcome),
        before->place};
    mr_add_shift_event(a, &s);
}

static void judge_pause(struct mr_assess *a, struct mr_table *table, struct pause p) {
    p.settings = a->aligned->zones.v[a->aligned->windows.v[p.after == MR_NONE ? p.before : p.after].zone].settings;
    p.relieved_ms = MR_T_NONE;
    judge_relief(a, &p);
    if (!p.inner)
        judge_cleanout(a, &p);
    add_relief(a, &p);
    add_cleanout(a, &p);
    add_row(a, table, &p);
    if (!is_long(&p))
        return;
    tell_pause(a, &p);
}

/* --- the part ---------------------------------------------------------------------------------------- */

/* Pauses between pulls and those inside windows, in order of time. */
static void judge_pauses(struct mr_assess *a, struct mr_table *table, const mr_pulls *pulls, const mr_pulls *inner) {
    int64_t end_ms = pulls->v[0].t1_ms, from_ms = mr_setting_ms(&a->job->settings, MR_PAUSE_FROM);
    size_t last = pulls->v[0].window, k = 0;
    for (size_t i = 1; i <= pulls->n; i++) {
        bool tail = i == pulls->n;
        int64_t next_ms = tail ? a->aligned->last_utc_ms : pulls->v[i].t0_ms;
        for (; k < inner->n && (tail || inner->v[k].t0_ms < next_ms); k++)
            judge_pause(a, table,
                        (struct pause){.t0_ms = inner->v[k].t0_ms,
                                       .t1_ms = inner->v[k].t1_ms,
                                       .before = inner->v[k].window,
                                       .after = inner->v[k].window,
                                       .inner = true});
        if (next_ms != MR_T_NONE && next_ms - end_ms > from_ms)
            judge_pause(
                a, table,
                (struct pause){
                    .t0_ms = end_ms, .t1_ms = next_ms, .before = last, .after = tail ? MR_NONE : pulls->v[i].window});
        if (!tail && pulls->v[i].t1_ms > end_ms) {
            end_ms = pulls->v[i].t1_ms;
            last = pulls->v[i].window;
        }
    }
}

void mr_assess_pauses(struct mr_assess *a, const mr_pulls *inner) {
    mr_pulls pulls = {0};
    mr_collect_pulls(a, &pulls);
    if (pulls.n > 0) {
        struct mr_table *table = new_table(a);
        judge_pauses(a, table, &pulls, inner);
        if (table->n_rows > 0)
            mr_add_table(a, table);
    }
    mr_assess_water_tests(a);
}
