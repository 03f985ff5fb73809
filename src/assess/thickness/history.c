/*
 * history.c - what the surveys of a subject add up to: closed shortfalls, open ones, what came after.
 */
#include "assess/thickness/thickness.h"

#include <string.h>

static void add_survey_lines(struct mr_assess *a, const struct mr_survey *survey, const char *note,
                             mr_evidence_list *list) {
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, survey->film.n);
    for (size_t r = 0; r < survey->film.n; r++)
        lines[r] = (struct mr_line){survey->film.readings[r].file, survey->film.readings[r].line};
    mr_add_lines(a, list, lines, survey->film.n, 12, note);
}

static const struct mr_survey *first_failing(const struct mr_subject *s) {
    for (size_t i = 0; i < s->surveys.n; i++)
        if (s->surveys.v[i].fails)
            return &s->surveys.v[i];
    return NULL;
}

static const struct mr_survey *last_unrepaired(const struct mr_subject *s) {
    for (size_t i = s->surveys.n; i > 0; i--)
        if (s->surveys.v[i - 1].unrepaired)
            return &s->surveys.v[i - 1];
    return NULL;
}

static const char *open_text(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_survey *again = last_unrepaired(s);
    if (again && again->t0_utc_ms >= s->open->t1_utc_ms)
        return mr_printf(
            a->arena,
            "The survey of %s missed a limit, and the zone was measured again on %s without a repair or a "
            "written disposition between: the failing result stands.",
            mr_moment_text(a, s->open->t0_utc_ms), mr_moment_text(a, again->t0_utc_ms));
    if (s->open != s->counting && !s->counting->composite)
        return mr_printf(a->arena, "The newer survey of %s is not complete and misses a limit.",
                         mr_moment_text(a, s->open->t0_utc_ms));
    if (s->open == &s->surveys.v[s->surveys.n - 1] && s->surveys.n > 1)
        return "An earlier survey missed a limit, and so does the latest: the zone is open.";
    return "An earlier survey missed a limit, and no complete survey after it shows that it was made good: the zone "
           "is open.";
}

static const char *next_step(struct mr_assess *a, const struct mr_subject *s) {
    if (s->accepted)
        return mr_printf(a->arena, "Nothing to repair: the film was %s.", mr_acceptance_text(a, s->accepted));
    return last_unrepaired(s)
               ? "Log the repair in the spray log, or state in the job file under [disposition \"ZONE\"] the "
                 "decision, by whom (role), when and why."
               : "Repair the thin or over-thick places, then measure the whole zone or every repaired area again.";
}

static const char *doubt_text(struct mr_assess *a, const struct mr_subject *s) {
    const char *when = mr_moment_text(a, s->doubtful->t0_utc_ms);
    if (s->doubtful->t0_utc_ms > s->counting->t1_utc_ms)
        return "A newer survey has incomplete spots outside the limits.";
    if (s->doubtful != s->counting)
        return mr_printf(
            a->arena,
            "The survey of %s has spots or areas outside the limits that lack readings, and the zone was "
            "measured again without a repair or a written disposition between.",
            when);
    return "An area that lacks spots lies outside the limits by those that it has.";
}

static void add_open(struct mr_assess *a, const struct mr_subject *s, const struct mr_check *c) {
    struct mr_finding f = mr_finding_of(c, last_unrepaired(s) ? "measured-again-without-repair" : "open-zone",
                                        c->outcome == MR_NOT_SHOWN ? MR_WARNING : MR_ERROR);
    const struct mr_survey *about = s->open ? s->open : s->doubtful;
    f.t0_utc_ms = about->t0_utc_ms;
    f.t1_utc_ms = about->t1_utc_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c->detail);
    f.next_step = s->open ? next_step(a, s)
                  : s->doubtful->t0_utc_ms > s->counting->t1_utc_ms
                      ? "Complete the spots named in the newer survey, or measure the zone again."
                  : s->doubtful != s->counting
                      ? "Log the repair in the spray log, or state in the job file under [disposition \"ZONE\"] the "
                        "decision, by "
                        "whom (role), when and why these readings do not stand."
                      : "Measure the missing spots of these areas.";
    mr_add_finding(a, &f);
}

void mr_history_check(struct mr_thickness *t, const struct mr_subject *s) {
    struct mr_assess *a = t->a;
    if (s->surveys.n == 0 || (!s->limits.has_min && !s->limits.has_max))
        return;
    const char *title = "Shortfalls repaired and measured again";
    struct mr_check c =
        mr_blank_check("history.closed", s->coat ? mr_printf(a->arena, "%s, coat %d", title, s->coat) : title,
                       "history", s->zone, s->coat);
    const struct mr_survey *failed = first_failing(s);
    c.rule =
        "a survey that missed a limit is followed by a repair or a written disposition, then by a complete survey";
    c.source = MR_SRC_PD;
    bool sole = s->surveys.n == 1 || (s->open == failed && s->open == &s->surveys.v[s->surveys.n - 1]);
    if (s->open && !(sole && s->open == s->counting)) {
        c.outcome = MR_DOES_NOT_CONFORM;
        c.detail = open_text(a, s);
        add_survey_lines(a, s->open, "survey that missed a limit", &c.evidence);
    } else if (s->doubtful) {
        c.outcome = MR_NOT_SHOWN;
        c.detail = doubt_text(a, s);
        add_survey_lines(a, s->doubtful, "survey with incomplete spots or areas", &c.evidence);
    } else if (failed && !s->open) {
        c.outcome = MR_CONFORMS;
        c.detail = mr_printf(a->arena, "The survey of %s missed a limit; after the %s the new measurements hold.",
                             mr_moment_text(a, failed->t0_utc_ms), s->closed_by.what);
        add_survey_lines(a, failed, "survey that missed a limit", &c.evidence);
        mr_add_evidence(a, &c.evidence, s->closed_by.place, s->closed_by.what);
    } else {
        c.outcome = MR_NOT_REQUIRED;
        c.detail = s->surveys.n > 1 ? "No earlier survey missed a limit." : "There is one survey.";
    }
    mr_add_check(a, &c);
    if (c.outcome >= MR_NOT_SHOWN &&
        (s->open || s->doubtful)) /* a doubtful clock may hold a check that is not open */
        add_open(a, s, &c);
}

static const char *after_survey_text(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_window *w = s->coat_after;
    if (w)
        return mr_printf(
            a->arena,
            "Coat %d was sprayed until %s, after the survey that counts began (%s): the surface measured "
            "is no longer the top one.",
            w->coat, mr_moment_text(a, w->t1_utc_ms > w->t0_utc_ms ? w->t1_utc_ms : w->t0_utc_ms),
            mr_moment_text(a, s->counting->t0_utc_ms));
    if (s->order_unsure)
        return "Whether the repair came between the survey that missed a limit and the new one does not follow from "
               "the spray log.";
    if (s->repair_after && s->repair_after->log->unknown)
        return mr_printf(
            a->arena,
            "The spray log has \"%s\" on %s, after the last survey that counts (%s): whether the film is "
            "still the one that was measured does not follow from it.",
            s->repair_after->log->action_text, mr_moment_text(a, s->repair_after->t0_utc_ms),
            mr_moment_text(a, s->counting->t1_utc_ms));
    if (s->repair_after)
        return mr_printf(a->arena, "A repair was logged on %s, after the last survey that counts (%s).",
                         mr_moment_text(a, s->repair_after->t0_utc_ms), mr_moment_text(a, s->counting->t1_utc_ms));
    return "No coat was sprayed and nothing repaired after the survey that counts.";
}

struct after_survey {
    const char *finding, *next_step;
};

static struct after_survey what_came_after(const struct mr_subject *s) {
    if (s->coat_after)
        return (struct after_survey){"coat-after-survey", "Measure the zone again."};
    if (s->order_unsure)
        return (struct after_survey){"repair-order-not-known",
                                     "Write start and stop of the repair in the spray log."};
    if (s->repair_after->log->unknown)
        return (struct after_survey){
            "work-after-survey", "Measure the zone again. Where the work left the film as it was, write so into the "
                                 "row: inspection, masking, scaffold."};
    return (struct after_survey){"repair-after-survey",
                                 "Measure the repaired areas again, with the others of the survey."};
}

/* A coat over the film that was measured hides it, and so does a repair. */
static void check_after_survey(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_window *w = s->coat_after;
    const char *title = "Measured after the last coat";
    struct mr_check c =
        mr_blank_check("thickness.last-coat", s->coat ? mr_printf(a->arena, "%s, coat %d", title, s->coat) : title,
                       "thickness", s->zone, s->coat);
    c.outcome = w || s->order_unsure || s->repair_after ? MR_NOT_SHOWN : MR_CONFORMS;
    c.rule = "the survey that counts was taken after the last coat, and after the repair that it is to prove";
    c.source = MR_SRC_PD;
    c.detail = after_survey_text(a, s);
    if (w)
        mr_add_evidence(a, &c.evidence, w->place, "later coat");
    else if (s->order_unsure)
        mr_add_evidence(a, &c.evidence, s->closed_by.place, "repair");
    else if (s->repair_after)
        mr_add_evidence(a, &c.evidence, s->repair_after->place, "repair");
    mr_add_check(a, &c);
    if (c.outcome == MR_CONFORMS)
        return;
    const struct after_survey after = what_came_after(s);
    struct mr_finding f = mr_finding_of(&c, after.finding, MR_WARNING);
    f.t0_utc_ms = w ? w->t0_utc_ms : !s->order_unsure && s->repair_after ? s->repair_after->t0_utc_ms : MR_T_NONE;
    f.t1_utc_ms = w ? w->t1_utc_ms : !s->order_unsure && s->repair_after ? s->repair_after->t1_utc_ms : MR_T_NONE;
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail);
    f.next_step = after.next_step;
    mr_add_finding(a, &f);
}

/* "after repair" written beside a reading that was taken before any repair, or the reverse. */
static void note_labels(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_alignment *al = a->aligned;
    mr_evidence_list evidence = {0};
    size_t n = 0;
    for (size_t k = 0; k < s->surveys.n; k++)
        for (size_t i = 0; i < s->surveys.v[k].film.n; i++) {
            const struct mr_placed *p = &al->readings.v[s->surveys.v[k].film.readings[i].at];
            int label = mr_repair_label(a->arena, p->reading->note);
            bool after = p->stage == MR_STAGE_AFTER_REPAIR;
            if (label == 0 || p->t_utc_ms == MR_T_NONE || (label > 0) == after)
                continue;
            if (n++ < 12)
                mr_add_evidence(a, &evidence, mr_line_place(a, p->reading->file, p->reading->line), p->reading->note);
        }
    if (n == 0)
        return;
    struct mr_finding f = mr_blank_finding("label-against-time", MR_WARNING, s->zone, s->coat);
    f.measured = (double)n;
    f.what = mr_printf(a->arena, "%s: %s whose note about a repair contradicts the times in the spray log.",
                       mr_subject_text(a, s), mr_count_text(a, n, "reading"));
    f.rule = "whether a reading is before or after a repair is decided by time";
    f.source = MR_SRC_PD;
    f.next_step = "Correct the note, the gauge's clock, or the time of the repair in the spray log.";
    f.evidence = evidence;
    mr_add_finding(a, &f);
}

void mr_history_findings(struct mr_thickness *t, const struct mr_subject *s) {
    if (!s->counting)
        return;
    if (s->limits.has_min || s->limits.has_max)
        check_after_survey(t->a, s);
    note_labels(t->a, s);
}

static const char *counts_text(const struct mr_survey *v) {
    if (v->counting_readings == v->film.n)
        return "yes";
    if (v->counting_readings)
        return "in part";
    return v->unrepaired ? "no: no repair before it" : "no";
}

void mr_history_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    static const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},         {"coat", "Film", MR_UNIT_NONE, 0},
        {"survey", "Survey", MR_UNIT_NONE, 0},     {"begin", "Begin", MR_UNIT_NONE, 0},
        {"end", "End", MR_UNIT_NONE, 0},           {"stage", "Taken", MR_UNIT_NONE, 0},
        {"readings", "Readings", MR_UNIT_NONE, 0}, {"spots", "Spots", MR_UNIT_NONE, 0},
        {"areas", "Areas", MR_UNIT_NONE, 0},       {"complete", "Complete", MR_UNIT_NONE, 0},
        {"limits", "Limits", MR_UNIT_NONE, 0},     {"counts", "Counts", MR_UNIT_NONE, 0},
    };
    static const char *const stages[] = {[MR_STAGE_UNKNOWN] = "not known",
                                         [MR_STAGE_BEFORE_COAT] = "before the coat",
                                         [MR_STAGE_AFTER_COAT] = "after the coat",
                                         [MR_STAGE_AFTER_REPAIR] = "after repair"};
    struct mr_table *table = mr_table_new(
        a->arena, "surveys", "Surveys",
        "Every survey of every zone. The newest complete one counts, unless one before it missed a limit and was not "
        "repaired; all stay in the record.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        for (size_t k = 0; k < t->subjects.v[i]->surveys.n; k++) {
            const struct mr_subject *s = t->subjects.v[i];
            const struct mr_survey *v = &s->surveys.v[k];
            const struct mr_value row[] = {
                mr_v_text(s->z->name),
                mr_v_text(s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system"),
                mr_v_count((int64_t)k + 1),
                mr_v_time(v->t0_utc_ms),
                mr_v_time(v->t1_utc_ms),
                mr_v_text(stages[v->stage]),
                mr_v_count((int64_t)v->film.n),
                mr_v_count((int64_t)v->film.spots.n),
                mr_v_count((int64_t)v->film.areas.n),
                mr_v_text(v->complete ? "yes" : "no"),
                mr_v_text(v->fails ? "missed" : "held"),
                mr_v_text(counts_text(v)),
            };
            mr_table_add(a->arena, table, row);
        }
    mr_add_table(a, table);
}

/* "Area minimum: 161.1 µm (limit at least 200.0 µm)", every limit missed. */
static const char *missed_limits(struct mr_assess *a, const struct mr_subject *s, const struct mr_survey *survey) {
    const char *text = "";
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++) {
            const struct mr_rule_verdict *v = &survey->verdicts[r][i];
            if (v->outcome != MR_DOES_NOT_CONFORM)
                continue;
            double value = mr_ratio_in(v->worst_value, s->unit), limit = mr_ratio_in(v->limit_value, s->unit);
            int decimals = mr_telling_decimals(value, limit, mr_film_decimals(s->unit));
            const char *unit = mr_unit_symbol(s->unit);
            text =
                mr_printf(a->arena, "%s%s%s: %.*f %s (limit at %s %.*f %s)", text, *text ? "; " : "", v->limit->title,
                          decimals, value, unit, v->limit->upper ? "most" : "least", decimals, limit, unit);
        }
    return text;
}

static const char *lines_of(struct mr_assess *a, const struct mr_survey *survey) {
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, survey->film.n);
    for (size_t i = 0; i < survey->film.n; i++)
        lines[i] = (struct mr_line){survey->film.readings[i].file, survey->film.readings[i].line};
    return mr_lines_text(a, lines, survey->film.n, 4);
}

int64_t mr_utc_about(const struct mr_alignment *al, int64_t local_ms) {
    int64_t first = local_ms - (mr_local_ms(al, local_ms) - local_ms);
    return local_ms - (mr_local_ms(al, first) - first);
}

void mr_faults_enter(struct mr_thickness *t, const struct mr_subject *s) {
    struct mr_assess *a = t->a;
    for (size_t i = 0; i < s->faults.n; i++) {
        const struct mr_fault *fault = &s->faults.v[i];
        struct mr_nonconformance n = {.kind =
                                          s->coat ? mr_printf(a->arena, "thickness, coat %d", s->coat) : "thickness",
                                      .film = true,
                                      .zone = s->zone,
                                      .coat = s->coat,
                                      .what = missed_limits(a, s, fault->failed),
                                      .found_utc_ms = fault->failed->t1_utc_ms,
                                      .found_in = lines_of(a, fault->failed),
                                      .closed_utc_ms = MR_T_NONE,
                                      .disposition = "",
                                      .closed_by = ""};
        if (fault->closing) {
            n.disposition = fault->repair.what ? fault->repair.what : "";
            n.closed_utc_ms = fault->closing->t1_utc_ms;
            n.closed_by = lines_of(a, fault->closing);
        } else if (s->accepted) {
            const struct mr_place *p = &s->accepted->place;
            n.accepted = mr_acceptance_text(a, s->accepted);
            n.disposition = n.accepted;
            n.closed_utc_ms = mr_utc_about(a->aligned, s->accepted->when_local_ms);
            if (n.closed_utc_ms < n.found_utc_ms) /* dated by the day alone */
                n.closed_utc_ms = n.found_utc_ms;
            n.closed_by = mr_printf(a->arena, "%s:%u", p->file ? p->file : "", p->line);
        }
        MR_PUSH(a->arena, &a->out->nonconformances, n);
    }
}
