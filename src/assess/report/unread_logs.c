/*
 * unread_logs.c - samples of a hygrometer or of the lines that say something which could not be read (">95", "9O", a
 * row cut short), that the log itself takes back ("Valid: no"), or to which another cell of the row objects ("OK to
 * paint: no", "RH max: 96"): they may be just those that fail.
 * Between the samples beside them the limits may have been missed, so a coat whose window they fall into is not
 * shown. What is shorter than the sensor's response, or than an event of the lines, proves nothing either way and is
 * left. A log that says of itself what its rows do not show ("Max RH: 93 %", "Samples: 1500") shows no coat either. A
 * log of the lines by which the machine rested for nearly all of a coat shows another coat than that one.
 */
#include "assess/finding/finding_text.h"

struct unread_log {
    enum mr_kind kind;
    enum mr_setting_id required, lead, cure, least; /* lead, cure: MR_SETTING_COUNT where there is none */
    const char *id, *title, *group, *rule;
    const char *stated_id; /* of the check of what the log says of itself */
};

static const struct unread_log unread_logs[] = {
    {MR_KIND_CLIMATE, MR_CLIMATE_REQUIRED, MR_CLIMATE_LEAD, MR_CLIMATE_CURE, MR_CLIMATE_RESPONSE, "climate.unread",
     "Climate samples that cannot be read", "climate", "every sample of the climate in the window can be read",
     "climate.stated"},
    {MR_KIND_PRESSURE, MR_LINES_REQUIRED, MR_SETTING_COUNT, MR_SETTING_COUNT, MR_LINE_EVENT_TIME, "lines.unread",
     "Line pressures that cannot be read", "lines", "every sample of the lines in the window can be read",
     "lines.stated"},
    {MR_KIND_TEMPERATURE, MR_REACTION_REQUIRED, MR_SETTING_COUNT, MR_SETTING_COUNT, MR_SETTING_COUNT,
     "reaction.unread", "Clock of the temperature log", "reaction", "the clock of the log runs forward",
     "reaction.stated"},
};

/* Samples of a file within a span and the ones beside it, by the lines of one of its tracks. */
struct sample_span {
    const struct mr_track *track;
    size_t from, to; /* to: exclusive */
    uint32_t line_least, line_most;
};

static struct sample_span span_of(const struct mr_track *track, int64_t t0, int64_t t1) {
    struct sample_span s = {.track = track, .from = mr_track_first(track, t0), .to = mr_track_first(track, t1)};
    s.from -= s.from > 0;
    s.to = s.to + 2 < track->n ? s.to + 2 : track->n;
    return s;
}

/* How long the samples leave open around the rows from line to line_end; 0 where they lie elsewhere. */
static int64_t left_open_ms(const struct sample_span *s, const struct mr_unread_rows *u) {
    const bool counts = u->why == MR_ASIDE_OBJECTED || u->why == MR_ASIDE_IMPLAUSIBLE;
    const bool column = u->why == MR_ASIDE_RIVALS || u->why == MR_ASIDE_NO_UNIT; /* of all the log's rows */
    size_t before = MR_NONE, after = MR_NONE, own_first = MR_NONE, own_last = MR_NONE;
    for (size_t i = s->from; i < s->to; i++) {
        if (mr_track_file(s->track, i) != u->file)
            continue;
        if (mr_track_line(s->track, i) < u->line)
            before = i;
        else if (mr_track_line(s->track, i) > u->line_end && after == MR_NONE)
            after = i;
        else if (mr_track_line(s->track, i) <= u->line_end) {
            own_first = own_first == MR_NONE ? i : own_first;
            own_last = i;
        }
    }
    if (counts || column) { /* at the edge of the log as well */
        before = before == MR_NONE ? own_first : before;
        after = after == MR_NONE ? own_last : after;
    }
    if (before == MR_NONE || after == MR_NONE || (counts && own_first == MR_NONE))
        return 0;
    return mr_track_ms(s->track, after) - mr_track_ms(s->track, before);
}

static int64_t setting_ms(const struct mr_settings *settings, enum mr_setting_id id) {
    return id == MR_SETTING_COUNT ? 0 : mr_setting_ms(settings, id);
}

/* A clock that was set back by hand, not one that followed the end of daylight saving. */
static bool is_set_back(const struct mr_alignment *al, const struct mr_track *track, const struct sample_span *s,
                        const struct mr_unread_rows *u) {
    const struct mr_clock *clock = track->clock < al->clocks.n ? &al->clocks.v[track->clock] : NULL;
    if (u->why != MR_ASIDE_CONTRADICTED || (clock && (clock->fold_rows_resolved || clock->fold_rows_set_aside)))
        return false;
    for (size_t i = s->from; i < s->to; i++)
        if (mr_track_file(track, i) == u->file)
            return true;
    return false;
}

/* A log's tracks that stand for a coat, each with its samples around the coat's time. */
struct coat_log {
    const struct unread_log *log;
    const struct mr_settings *settings;
    const struct mr_window *window;
    MR_VEC(struct sample_span) spans;
    size_t samples, rests; /* of the coat itself, on the first track of a file; those at which nothing was sprayed */
};

static void find_spans(struct mr_assess *a, struct coat_log *coat) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_window *w = coat->window;
    const int64_t t0 = w->t0_utc_ms - setting_ms(coat->settings, coat->log->lead);
    const int64_t t1 = w->t1_utc_ms + setting_ms(coat->settings, coat->log->cure);
    for (size_t i = 0; i < al->tracks.n; i++) {
        const struct mr_track *track = &al->tracks.v[i];
        if (!track->n || !mr_track_rank(track, w->zone, w->t0_utc_ms))
            continue;
        struct sample_span s = span_of(track, t0, t1);
        s.line_least = UINT32_MAX;
        for (size_t k = s.from; k < s.to; k++) {
            s.line_least = mr_track_line(track, k) < s.line_least ? mr_track_line(track, k) : s.line_least;
            s.line_most = mr_track_line(track, k) > s.line_most ? mr_track_line(track, k) : s.line_most;
        }
        MR_PUSH(a->arena, &coat->spans, s);
    }
}

static bool may_hold(const struct sample_span *s, const struct mr_unread_rows *u) {
    return (mr_is_column(&s->track->file) || s->track->file0 == u->file) && u->line <= s->line_most &&
           u->line_end >= s->line_least;
}

static bool is_hidden(struct mr_assess *a, const struct coat_log *coat, const struct mr_unread_rows *u) {
    const int64_t least = setting_ms(coat->settings, coat->log->least);
    for (size_t i = 0; i < coat->spans.n; i++) {
        const struct sample_span *s = &coat->spans.v[i];
        if (!mr_is_column(&s->track->file) && s->track->file0 != u->file)
            continue;
        if (is_set_back(a->aligned, s->track, s, u))
            return true;
        if (u->why == MR_ASIDE_CONTRADICTED || coat->log->kind == MR_KIND_TEMPERATURE)
            continue; /* a fit bears single samples that are missing */
        if (may_hold(s, u) && left_open_ms(s, u) >= (least > 1 ? least : 1))
            return true;
    }
    return false;
}

/* The samples within the coat, and those of them that lie in the rows: on the first track that holds such rows. */
static void count_rests(struct coat_log *coat, const struct mr_unread_rows *u) {
    for (size_t i = 0; i < coat->spans.n; i++) {
        const struct sample_span *s = &coat->spans.v[i];
        if (!may_hold(s, u))
            continue;
        coat->samples = 0;
        for (size_t k = s->from; k < s->to; k++) {
            const int64_t t = mr_track_ms(s->track, k);
            if (t < coat->window->t0_utc_ms || t > coat->window->t1_utc_ms)
                continue;
            const uint32_t line = mr_track_line(s->track, k);
            coat->samples++;
            coat->rests += mr_track_file(s->track, k) == u->file && line >= u->line && line <= u->line_end;
        }
        return;
    }
}

/* What is wrong with the rows, by the reason that all of them share; MR_ASIDE_COUNT where there are several. */
static const char *state_of(enum mr_aside why, bool one) {
    switch ((int)why) {
    case MR_ASIDE_MARKED:
        return one ? "is marked as not valid" : "are marked as not valid";
    case MR_ASIDE_OBJECTED:
        return one ? "holds another cell that says a limit was missed"
                   : "hold another cell that says a limit was missed";
    case MR_ASIDE_IMPLAUSIBLE:
        return one ? "is implausible" : "are implausible";
    case MR_ASIDE_RIVALS:
        return one ? "has columns that were set aside because they claim one meaning"
                   : "have columns that were set aside because they claim one meaning";
    case MR_ASIDE_NO_UNIT:
        return one ? "has a value that was set aside because its unit is not known"
                   : "have values that were set aside because their unit is not known";
    case MR_ASIDE_COUNT:
        return one ? "is in doubt" : "could not be read or are in doubt";
    default:
        return "could not be read";
    }
}

static const char *step_of(enum mr_aside why, bool rows) {
    if (!rows)
        return "Split the export where its time goes back, and state each part's clock offset.";
    switch ((int)why) {
    case MR_ASIDE_MARKED:
        return "See these rows on the sheet Rows set aside: if they count, add the line given there to "
               "job.milrise; else show that time by another logger.";
    case MR_ASIDE_OBJECTED:
        return "Find out which of the two is right. If that column says nothing of the job's limits, add the line "
               "that "
               "the remark on the file gives to job.milrise; else show that time by another logger.";
    case MR_ASIDE_IMPLAUSIBLE:
        return "Check the sensor and show that time by another logger. Where the values are right, widen the bound "
               "under [plausibility] in job.milrise.";
    case MR_ASIDE_RIVALS:
    case MR_ASIDE_NO_UNIT:
        return "State how to read the column, as the lines given for its file have it; `ignore` if it says nothing "
               "of "
               "the work.";
    default:
        return "Correct these cells in the export. Where the sensor showed nothing, list the text under `missing` in "
               "the file's [file] section.";
    }
}

/* A gun that is said to have rested for nearly all of a coat sprayed another one. */
static const double most_rests = 0.9;

static void judge_rests(struct mr_assess *a, const struct coat_log *coat, const mr_evidence_list *evidence) {
    const struct mr_window *w = coat->window;
    if (!coat->samples || (double)coat->rests < most_rests * (double)coat->samples)
        return;
    struct mr_check c = mr_blank_check("lines.at-rest", "Machine at rest", "lines", w->zone, w->coat);
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)coat->rests;
    c.rule = "the machine sprays while a coat is logged";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(
        a->arena, "In %zu of %s of the line log within %s another cell says that nothing was being sprayed.",
        coat->rests, mr_count_text(a, coat->samples, "row"), mr_span_text(a, w->t0_utc_ms, w->t1_utc_ms));
    c.evidence = *evidence;
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "machine-at-rest", MR_WARNING);
    f.t0_utc_ms = w->t0_utc_ms;
    f.t1_utc_ms = w->t1_utc_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, w->zone, w->coat)), c.detail);
    f.next_step =
        "Compare the clocks of the line log and the spray log. If that column does not say whether the machine "
        "sprays, set it to ignore in the file's [file] section of job.milrise.";
    mr_add_finding(a, &f);
}

/* The first file with samples in the coat's time that says of itself what they do not show; MR_NONE. */
static size_t contradicting_file(struct mr_assess *a, const struct coat_log *coat) {
    for (size_t i = 0; i < coat->spans.n; i++) {
        const struct sample_span *s = &coat->spans.v[i];
        for (size_t k = s->from; k < s->to; k++) {
            const uint32_t file = mr_track_file(s->track, k);
            if (a->aligned->data->files.v[file].disagrees)
                return file;
            if (!mr_is_column(&s->track->file))
                break; /* all of one file */
        }
    }
    return MR_NONE;
}

static void judge_statements(struct mr_assess *a, const struct coat_log *coat) {
    const struct mr_window *w = coat->window;
    const size_t at = contradicting_file(a, coat);
    if (at == MR_NONE)
        return;
    const struct mr_file *file = &a->aligned->data->files.v[at];
    struct mr_check c =
        mr_blank_check(coat->log->stated_id, "What the log says of itself", coat->log->group, w->zone, w->coat);
    c.outcome = MR_NOT_SHOWN;
    c.rule = "the rows of a log bear out what stands above them";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena, "%s contradicts itself: %s.", file->source->path, file->disagrees);
    mr_add_evidence(a, &c.evidence, (struct mr_place){.file = file->source->path, .line = 1}, "what the log says");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "log-contradicts", MR_WARNING);
    f.t0_utc_ms = w->t0_utc_ms;
    f.t1_utc_ms = w->t1_utc_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, w->zone, w->coat)), c.detail);
    f.next_step = mr_printf(a->arena,
                            "Find out what is missing or wrong. If the rows are right as they stand, add to "
                            "job.milrise: [file \"%s\"] / kind = %s.",
                            file->source->path, mr_kind_word(file->kind));
    mr_add_finding(a, &f);
}

static void judge_window(struct mr_assess *a, const struct unread_log *log, const struct mr_window *w) {
    const struct mr_data *data = a->aligned->data;
    struct coat_log coat = {.log = log, .settings = a->aligned->zones.v[w->zone].settings, .window = w};
    struct mr_check c = mr_blank_check(log->id, log->title, log->group, w->zone, w->coat);
    mr_evidence_list rests = {0};
    size_t rows = 0;
    bool hidden = false;
    enum mr_aside why = MR_ASIDE_COUNT; /* of all of them */
    find_spans(a, &coat);
    judge_statements(a, &coat);
    for (size_t i = 0; i < data->unread.n; i++) {
        const struct mr_unread_rows *u = &data->unread.v[i];
        if (data->files.v[u->file].kind != log->kind)
            continue;
        const struct mr_place place = {.file = data->files.v[u->file].source->path,
                                       .line = u->line,
                                       .line_end = u->line_end > u->line ? u->line_end : 0};
        if (u->why == MR_ASIDE_AT_REST) {
            const size_t before = coat.rests;
            count_rests(&coat, u);
            if (coat.rests > before)
                mr_add_evidence(a, &rests, place, mr_aside_text(u->why));
            continue;
        }
        if (!is_hidden(a, &coat, u))
            continue;
        mr_add_evidence(a, &c.evidence, place, u->rows ? mr_aside_text(u->why) : "the time goes back");
        rows += (size_t)u->rows;
        why = !hidden || why == u->why ? u->why : MR_ASIDE_COUNT;
        hidden = true;
    }
    judge_rests(a, &coat, &rests);
    if (!hidden)
        return;
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)rows;
    c.rule = log->rule;
    c.source = MR_SRC_PD;
    const char *when = mr_span_text(a, w->t0_utc_ms, w->t1_utc_ms), *kind = mr_kind_text(log->kind);
    const char *state = state_of(why, rows == 1);
    c.detail =
        rows ? mr_printf(a->arena, "%s of the %s around %s %s.", mr_count_text(a, rows, "row"), kind, when, state)
             : mr_printf(a->arena, "The clock of the %s was set back, and its times around %s may be wrong.", kind,
                         when);
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "unread-samples", MR_WARNING);
    f.t0_utc_ms = w->t0_utc_ms;
    f.t1_utc_ms = w->t1_utc_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, w->zone, w->coat)), c.detail);
    f.next_step = step_of(why, rows > 0);
    mr_add_finding(a, &f);
}

void mr_assess_unread_logs(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    for (size_t k = 0; k < MR_COUNT(unread_logs); k++)
        for (size_t i = 0; i < al->windows.n; i++) {
            const struct mr_window *w = &al->windows.v[i];
            if (w->zone < al->zones.n && mr_set_flag(al->zones.v[w->zone].settings, unread_logs[k].required))
                judge_window(a, &unread_logs[k], w);
        }
}
