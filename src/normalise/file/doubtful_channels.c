/*
 * doubtful_channels.c - see doubtful_channels.h. Air is not the same everywhere: a dry office would prove a damp
 * deck. Lists of places are never whole, so every word is asked for that is not known to be harmless.
 */
#include "normalise/file/doubtful_channels.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/column/strange_words.h"
#include "normalise/column/suggest.h"
#include "normalise/file/file_place.h"
#include "normalise/file/register_words.h"
#include "normalise/row/block_lines.h"
#include "normalise/row/drop_rows.h"
#include "normalise/row/log_columns.h"
#include "normalise/row/row_fates.h"

#include <math.h>
#include <string.h>

struct look {
    struct mr_file_state *state;
    const struct mr_register_words *zones;
    const char *zone;   /* the one that the heading names; NULL */
    const char *word;   /* the word in question, NULL */
    size_t n;           /* its length */
    bool known_besides; /* the zone's name may also be the number of a channel: "T1" */
    const char *number; /* that stands behind the zone's name and may make it another one: "Deck 2"; NULL */
};

/* "T1" and "CH 2": a letter or two and a number. */
static bool may_number(const struct look *l, enum mr_meaning m, const char *words) {
    size_t n;
    const size_t letters = strcspn(words, " ");
    return letters <= 2 && words[letters] && !mr_strange_word(l->state->plan->map, m, words, &n);
}

/* The zone with the longest name in the heading. Returns the words that are left. */
static const char *take_zone(struct look *l, enum mr_meaning m, const char *words) {
    struct mr_arena *arena = l->state->scratch;
    const char *rest = words;
    size_t longest = 0;
    l->number = NULL;
    for (size_t i = 0; i < l->zones->v.n; i++) {
        const struct mr_zone_words *z = &l->zones->v.v[i];
        const char *left = strlen(z->words) > longest ? mr_words_without(arena, words, z->words) : NULL;
        if (!left)
            continue;
        longest = strlen(z->words);
        rest = left;
        l->zone = z->zone;
        l->number = mr_number_behind(words, z->words);
        l->known_besides = may_number(l, m, z->words);
    }
    return rest;
}

/* Names of the instrument say nothing about the place. */
static const char *without_instrument(const struct look *l, const char *words) {
    struct mr_arena *arena = l->state->scratch;
    const struct mr_file *file = l->state->file;
    const char *names[] = {file->instrument_name, file->instrument ? file->instrument->serial : "",
                           file->instrument ? file->instrument->name : "", l->state->serial};
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        const char *name = names[i] ? mr_words_fold(arena, names[i], strlen(names[i])) : "",
                   *left = *name ? mr_words_without(arena, words, name) : NULL;
        words = left ? left : words;
    }
    return words;
}

static bool is_assigned(const struct mr_file_state *state, const char *channel, bool whole) {
    const struct mr_job *job = state->job;
    for (size_t i = 0; i < job->assignments.n; i++) {
        const struct mr_assignment *a = &job->assignments.v[i];
        const struct mr_instrument *inst = mr_job_instrument(job, a->instrument);
        const char *own = a->channel ? a->channel : "";
        const bool same =
            inst ? inst == state->file->instrument : strcmp(a->instrument, state->file->instrument_name) == 0;
        if (same && (whole ? !*own : mr_text_equal_fold(own, strlen(own), channel, strlen(channel))))
            return true;
    }
    return whole && state->file->instrument && state->file->instrument->zones && *state->file->instrument->zones;
}

/* One question for all columns of a file. */
struct question {
    const char *lines, *names; /* for the job file; the headings */
    size_t columns;
    const char *word; /* the first that is in question */
    size_t n;         /* its length */
};

static void put(struct question *q, const struct look *l, const struct mr_log_channel *channel) {
    struct mr_file_state *state = l->state;
    struct mr_plan_column *c = &state->plan->col[channel->col];
    const char *unit = c->as.unit == MR_UNIT_NONE ? "" : mr_printf(state->arena, " [%s]", mr_unit_symbol(c->as.unit));
    const char *line = mr_printf(state->arena, "%s = %s%s", mr_column_key(state->arena, state->source, channel->col),
                                 mr_meaning_word(channel->meaning), unit);
    q->lines = q->columns ? mr_printf(state->arena, "%s\n%s", q->lines, line) : line;
    q->names = mr_printf(state->arena, "%s%s\"%s\"", q->names, q->columns ? ", " : "",
                         mr_clean_text(state->arena, c->as.name, strlen(c->as.name), 60));
    q->word = q->columns++ ? q->word : l->word;
    q->n = q->columns == 1 ? l->n : q->n;
    c->as = (struct mr_column){.name = c->as.name, .unit_why = ""};
    c->asked = true;
}

static void ask(struct mr_file_state *state, const struct question *q) {
    mr_file_ask(state->arena, state->file, MR_ASK_PLACE,
                mr_printf(state->arena, "%s\n# or = ignore, where it was not measured at the work", q->lines));
    mr_diag_add(state->diags, MR_ERROR, "doubtful-place",
                (struct mr_place){.file = state->source->path, .line = state->source->header_line}, NULL,
                mr_printf(state->arena,
                          "If measured at the work, say so in job.milrise: %s / %s; else set to ignore. Values set "
                          "aside.",
                          mr_file_key(state->arena, state->source), mr_one_line(state->arena, q->lines)),
                "%zu column%s may have been measured elsewhere, because \"%.*s\" is not known here: %s", q->columns,
                q->columns == 1 ? "" : "s", (int)q->n, q->word, q->names);
}

/* Where the lines above the table say that the logger stood; NULL where they do not, or the job says it. */
static const char *stated_place(const struct mr_file_state *state) {
    static const char *const names =
        "position|logger position|place|placed|placed in|mounted|mounted in|mounted on|installed in|installed on|"
        "attached to|fixed to|probe position|probe location|sensor position|sensor location|messort|"
        "standort|aufstellort|posicion|emplacement|posizione|positie|placering";
    if (is_assigned(state, "", true) || mr_preamble_value(state->scratch, state->source, MR_ZONE_NAMES))
        return NULL;
    return mr_preamble_value(state->scratch, state->source, names);
}

/* A place that is a zone of the register holds for the whole log; any other one is asked for. */
static bool is_elsewhere(struct look *l, struct mr_log_channel *channel, const char *place) {
    const char *words = mr_words_fold(l->state->scratch, place, strlen(place));
    for (size_t i = 0; i < l->zones->v.n; i++)
        if (strcmp(l->zones->v.v[i].words, words) == 0) {
            channel->zone = channel->zone ? channel->zone : l->zones->v.v[i].zone;
            return false;
        }
    if (l->state->plan->col[channel->col].by_job || is_assigned(l->state, channel->name, false) || channel->zone)
        return false;
    l->word = mr_strange_word(l->state->plan->map, channel->meaning, words, &l->n);
    return l->word != NULL;
}

/* What the names of the file and of its instrument say, unless the job or the lines above the table do. */
static struct mr_file_place named_place(const struct mr_file_state *state, const struct mr_register_words *zones) {
    if (is_assigned(state, "", true) || mr_preamble_value(state->scratch, state->source, MR_ZONE_NAMES))
        return (struct mr_file_place){.zone = ""};
    const bool probes = state->plan->kind == MR_KIND_TEMPERATURE;
    const struct mr_file_place named = mr_file_place(state->arena, state->source->path, zones, state->job, probes);
    if (named.away || *named.zone)
        return named;
    /* "H9 office": the name of an instrument that the job does not know */
    const char *name = state->file->instrument ? "" : state->file->instrument_name;
    struct mr_file_place by_name = mr_file_place(state->arena, name, zones, state->job, probes);
    by_name.zone = "";
    return by_name;
}

/* A pump may stand in a van or a workshop and serve the work outside; on a bench it serves none. */
static bool is_no_place_of(enum mr_kind kind, const struct mr_file_place *named) {
    static const char *const of_pump[] = {"bench", "testbench",  "prufstand", "workbench", "spare",
                                          "lab",   "laboratory", "labor",     "labs",      "laboratorio"};
    return named->away &&
           (kind != MR_KIND_PRESSURE || mr_word_among(named->away, named->n, of_pump, MR_COUNT(of_pump)));
}

static bool is_away(struct look *l, const struct mr_log_channel *channel, const struct mr_file_place *named) {
    if (!is_no_place_of(l->state->plan->kind, named) || channel->zone || channel->dropped ||
        l->state->plan->col[channel->col].by_job || is_assigned(l->state, channel->name, false))
        return false;
    l->word = named->away;
    l->n = named->n;
    return true;
}

/* A thing that is sprayed or heated beside the work, among the words; NULL. */
static const char *other_body(const char *words) {
    static const char *const places[] = {
        "test plate", "test panel",  "test piece", "trial panel", "trial plate", "oven",  "spare",
        "bench",      "lab",         "office",     "store",       "workshop",    "truck", "van",
        "prufplatte", "probeplatte", "ofen",       "labor",       "four",        "horno", "forno"};
    for (size_t i = 0; i < MR_COUNT(places); i++)
        if (mr_words_hold(words, places[i]))
            return places[i];
    return mr_body_beside(words);
}

/* A probe named after such a thing: its heat is no heat of a zone. */
static bool is_on_other_body(struct look *l, const struct mr_log_channel *channel) {
    struct mr_file_state *state = l->state;
    const char *text = state->source->columns[channel->col].text;
    if (channel->dropped || channel->zone || state->plan->col[channel->col].by_job ||
        is_assigned(state, channel->name, false) || is_assigned(state, "", true))
        return false;
    l->zone = NULL;
    const char *words =
        take_zone(l, channel->meaning, without_instrument(l, mr_words_fold(state->scratch, text, strlen(text))));
    const char *body = l->zone ? NULL : other_body(words);
    l->word = body ? body : l->word;
    l->n = body ? strlen(body) : l->n;
    return body != NULL;
}

static void stand_in(struct mr_file_state *state, const char *zone) {
    for (size_t k = 0; k < state->log.channels.n && *zone; k++) {
        struct mr_log_channel *c = &state->log.channels.v[k];
        if (!c->zone && !is_assigned(state, c->name, false))
            c->zone = zone;
    }
}

/* Whether the heading speaks of a place that is none of the register, or may be none. */
static bool is_doubtful(struct look *l, struct mr_log_channel *channel) {
    struct mr_file_state *state = l->state;
    const struct mr_plan_column *c = &state->plan->col[channel->col];
    const char *text = state->source->columns[channel->col].text;
    /* "(tenths of degC)" was read as a unit */
    const char *words =
        mr_words_fold(state->scratch, text, mr_is_scaled(c->scale) ? strcspn(text, "([") : strlen(text));
    l->zone = l->word = NULL;
    if (channel->dropped || is_assigned(state, channel->name, false))
        return false;
    words = take_zone(l, channel->meaning, without_instrument(l, words));
    if (l->zone && !l->known_besides && !is_assigned(state, "", true))
        channel->zone = l->zone;
    if (c->by_job || c->unit_unknown)
        return false;
    if (l->zone && l->number && !is_assigned(state, "", true)) {
        l->word = l->number;
        l->n = strcspn(l->number, " ");
        return true;
    }
    l->word = mr_strange_word(state->plan->map, channel->meaning, words, &l->n);
    if (!l->word && l->zone && l->known_besides && l->zones->zones > 1 && !is_assigned(state, "", true)) {
        l->word = l->zone;
        l->n = strlen(l->zone);
    }
    return l->word != NULL;
}

/* A probe on a place of its own proves no heat of the zones that the job has; where it has no register, nobody knows
 * what a zone is. */
static bool is_doubtful_probe(struct look *l, struct mr_log_channel *channel) {
    return is_on_other_body(l, channel) ||
           (channel->meaning == MR_M_PROBE_TEMP && !channel->zone && l->zones->zones > 0 &&
            !is_assigned(l->state, "", true) && is_doubtful(l, channel));
}

static void drop_empty_rows(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    int8_t *fate = MR_ARRAY(state->scratch, int8_t, log->n);
    for (size_t i = 0; i < log->n; i++) {
        fate[i] = (int8_t)MR_ASIDE_DOUBTFUL;
        for (size_t k = 0; k < log->channels.n; k++)
            if (!isnan(mr_log_value(&log->channels.v[k], i)))
                fate[i] = (int8_t)MR_FATE_USED;
    }
    mr_log_drop(state, fate);
}

/* The headings of a pressure log name lines; only its file may name a place. */
static void look_through(struct mr_file_state *state, const struct mr_register_words *zones) {
    const bool air = state->plan->kind == MR_KIND_CLIMATE, probes = state->plan->kind == MR_KIND_TEMPERATURE;
    struct look look = {.state = state, .zones = zones};
    const char *place = air || probes ? stated_place(state) : NULL;
    const struct mr_file_place named = named_place(state, zones);
    struct question q = {.lines = "", .names = ""};
    size_t kept = 0, all = state->log.channels.n;
    for (size_t k = 0; k < all; k++) {
        struct mr_log_channel *channel = &state->log.channels.v[k];
        if ((air && is_doubtful(&look, channel)) || (place && is_elsewhere(&look, channel, place)) ||
            is_away(&look, channel, &named) || (probes && is_doubtful_probe(&look, channel)))
            put(&q, &look, channel);
        else
            state->log.channels.v[kept++] = *channel;
    }
    state->log.channels.n = kept;
    if (!probes) /* a probe of several may be on any zone */
        stand_in(state, named.zone);
    if (q.columns)
        ask(state, &q);
    if (q.columns && state->log.n)
        drop_empty_rows(state);
}

/* The place that a channel of a long log names, or its file, where it is none of the register; NULL. */
static const char *own_place(struct look *l, struct mr_log_channel *c, const struct mr_file_place *named,
                             const char *place) {
    struct mr_file_state *state = l->state;
    const char *words = without_instrument(l, mr_words_fold(state->scratch, c->name, strlen(c->name)));
    l->zone = NULL;
    const char *rest = take_zone(l, c->meaning, words);
    const bool strange = (l->zone && l->number) || mr_strange_word(state->plan->map, c->meaning, rest, &l->n);
    if ((!l->zone && other_body(rest)) || (strange && l->zones->zones))
        return c->name;
    if (named->away)
        return mr_strndup(state->arena, named->away, named->n);
    return place && is_elsewhere(l, c, place) ? place : NULL;
}

/* A channel that bears a name of its own stands there, as a row's place does. */
static void look_through_long(struct mr_file_state *state, const struct mr_register_words *zones) {
    struct look look = {.state = state, .zones = zones};
    const struct mr_file_place named = named_place(state, zones);
    const char *place = stated_place(state), *names = "";
    size_t n = 0;
    for (size_t k = 0; k < state->log.channels.n; k++) {
        struct mr_log_channel *c = &state->log.channels.v[k];
        if (c->meaning != MR_M_PROBE_TEMP || c->zone || !c->name || is_assigned(state, c->name, false) ||
            is_assigned(state, "", true))
            continue;
        const char *own = own_place(&look, c, &named, place);
        c->zone = own ? own : c->zone;
        names = own ? mr_printf(state->scratch, "%s%s\"%s\"", names, n ? ", " : "", c->name) : names;
        n += own != NULL;
    }
    if (n)
        mr_diag_add(state->diags, MR_WARNING, "probe-place",
                    (struct mr_place){.file = state->source->path, .line = state->source->header_line}, NULL,
                    "If a probe stood on a zone, name its channel and that zone under [assign] in job.milrise.",
                    "%zu channel%s of a place that is no zone of the register: %s", n, n == 1 ? " is" : "s are",
                    names);
}

void mr_ask_doubtful_channels(struct mr_file_state *files, size_t n) {
    struct mr_register_words zones = {0};
    bool known = false;
    for (size_t i = 0; i < n; i++) {
        const enum mr_kind kind = files[i].plan ? files[i].plan->kind : MR_KIND_UNKNOWN;
        const bool looked_at = kind == MR_KIND_CLIMATE || kind == MR_KIND_TEMPERATURE;
        const bool of_probes = files[i].log.is_long && kind == MR_KIND_TEMPERATURE;
        if ((!looked_at || files[i].log.is_long) && kind != MR_KIND_PRESSURE && !of_probes)
            continue;
        zones = known ? zones : mr_register_words(files[i].scratch, files, n);
        known = true;
        if (of_probes)
            look_through_long(&files[i], &zones);
        else
            look_through(&files[i], &zones);
    }
}
