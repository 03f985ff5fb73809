/*
 * zone_claims.c - "CET" over the times of a job in Chicago: neither applied nor passed over. Headings, cells, lines
 * above, between and below the rows may name a zone; each must be what the job's own zone is called on those days.
 */
#include "normalise/row/zone_claims.h"

#include "normalise/column/question.h"
#include "normalise/column/zone_words.h"
#include "normalise/row/row_fates.h"

#include <stdlib.h>
#include <string.h>

/* "GMT-05:00" or "UTC+2" in a line, whatever else it says; "" where there is none. */
static const char *offset_in(struct mr_arena *arena, const char *line) {
    for (const char *p = line; *p; p++) {
        const bool begins = p == line || strchr(" ,;:([\t\"", p[-1]);
        if (!begins || (strncmp(p, "GMT", 3) != 0 && strncmp(p, "UTC", 3) != 0) || !strchr("+-", p[3]) || !p[3])
            continue;
        const size_t n = strspn(p + 4, "0123456789:");
        if (n)
            return mr_strndup(arena, p, 4 + n);
    }
    return "";
}

/* "DST: off", "Sommerzeit: aus": the clock stayed at standard time. "Winterzeit" alone says so too. */
static bool says_winter(const char *words) {
    static const char *const summer[] = {
        "dst",         "daylight saving", "daylight savings",  "daylight saving time", "summer time", "sommerzeit",
        "heure d ete", "hora de verano",  "horario de verano", "horario de verao",     "ora legale",  "zomertijd",
        "sommartid",   "czas letni"};
    static const char *const off[] = {
        "off", "no",        "disabled",    "false", "aus", "nein", "non", "not",  "none", "inactive", "0",
        "n",   "desactive", "desactivado", "nee",   "uit", "nej",  "nie", "ohne", "sans", "without",  "sin"};
    static const char *const winter[] = {"winterzeit",       "winter time",  "normalzeit", "heure d hiver",
                                         "hora de invierno", "ora solare",   "wintertijd", "vintertid",
                                         "czas zimowy",      "standard time"};
    return (mr_words_hold_any(words, summer, MR_COUNT(summer)) && mr_words_hold_any(words, off, MR_COUNT(off))) ||
           mr_word_among(words, strlen(words), winter, MR_COUNT(winter));
}

/* "All times are CET" above or below the table; "Daylight saving: off". */
static void claims_of_lines(struct mr_file_state *state) {
    for (size_t i = 0; i < state->legend.n; i++) {
        const struct mr_legend_line *line = &state->legend.v[i];
        if (state->source->header_line && line->line == state->source->header_line)
            continue; /* headings speak for themselves */
        const char *words = mr_words_fold(state->scratch, line->text, strlen(line->text));
        const char *offset = offset_in(state->scratch, line->text);
        const char *zone = *offset                    ? offset
                           : says_winter(words)       ? "standard time"
                           : mr_zone_says_time(words) ? mr_zone_word_in(state->scratch, line->text, words, true)
                                                      : "";
        if (*zone)
            mr_timer_claim(&state->timer, zone, strlen(zone), line->line);
    }
}

/* Start and stop of a spray log have headings of their own. */
static void claims_of_headings(struct mr_file_state *state) {
    for (size_t i = 0; i < state->plan->n; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        if (c->as.meaning != MR_M_START && c->as.meaning != MR_M_STOP)
            continue;
        const char *text = state->source->columns[i].text;
        const char *words = mr_words_fold(state->scratch, text, strlen(text));
        const char *zone = mr_zone_word_in(state->scratch, text, words, false);
        if (*zone)
            mr_timer_claim(&state->timer, zone, strlen(zone), state->source->header_line);
    }
}

static void ask(struct mr_file_state *state, const char *text, uint32_t line, const char *zone_name) {
    const char *example = mr_zone_example(state->scratch, text);
    mr_file_ask(state->arena, state->file, MR_ASK_TIME_ZONE,
                mr_printf(state->arena, "time zone = %s\n# or the site's zone, if the clock followed it: %s",
                          example ? example : "?", zone_name));
    mr_diag_add(state->diags, MR_ERROR, "zone-word", (struct mr_place){.file = state->source->path, .line = line},
                text,
                mr_printf(state->scratch,
                          "Add to this file's [file] section in job.milrise the time zone that the clock ran in: "
                          "time zone = %s, or time zone = %s if it showed site time. File set aside.",
                          example ? example : "Etc/GMT+7", zone_name),
                "names a time zone other than the job's (%s) on the days of the file", zone_name);
    mr_state_relabel(state, MR_ASIDE_CLOCK_ZONE);
    state->log.n = 0;
    state->records.readings.n = state->records.verifications.n = state->records.sprays.n =
        state->records.shift_items.n = state->records.materials.n = 0;
}

static void settle_claims(struct mr_file_state *state) {
    struct mr_timer *t = &state->timer;
    int64_t first, last;
    const struct mr_file_rule *rule = state->source->rule;
    const struct mr_instrument *inst = state->file->instrument;
    if (t->zoned == 1 || (rule && *rule->time_zone) || (inst && *inst->time_zone) ||
        !mr_state_span(state, &first, &last))
        return;
    if (*t->zone_name)
        mr_timer_claim(t, t->zone_name, strlen(t->zone_name), 0);
    if (state->plan->form != MR_FORM_NONE)
        claims_of_lines(state);
    claims_of_headings(state);
    if (t->whole_zone || !t->claims.n)
        return;
    const struct mr_tzone *zone;
    bool no_job = !*state->job->file; /* explained on its own: there is nothing to compare with */
    if (no_job || mr_tzone_load(state->scratch, state->job->time_zone, &zone) != MR_OK) {
        mr_diag_add(state->diags, MR_WARNING, "zone-word",
                    (struct mr_place){.file = state->source->path, .line = t->claims.v[0].line}, t->claims.v[0].text,
                    "In a job with another time zone, state this clock's zone in the job file.",
                    "names a time zone whose offset is not stated");
        return;
    }
    for (size_t i = 0; i < t->claims.n; i++)
        if (!mr_zone_fits(state->scratch, t->claims.v[i].text, zone, state->job->time_zone, first, last)) {
            ask(state, t->claims.v[i].text, t->claims.v[i].line, state->job->time_zone);
            return;
        }
}

void mr_settle_zone(struct mr_file_state *state) {
    const struct mr_timer *t = &state->timer;
    if (state->plan->kind == MR_KIND_UNKNOWN)
        return;
    if (t->whole_zone && t->zoned != 1 && t->whole_min)
        mr_diag_add(state->diags, MR_NOTE, "zone-stated", (struct mr_place){.file = state->source->path}, NULL, NULL,
                    "times are taken as UTC%c%02d:%02d, as \"%s\" says", t->whole_min < 0 ? '-' : '+',
                    abs(t->whole_min) / 60, abs(t->whole_min) % 60, t->zone_said);
    settle_claims(state);
}
