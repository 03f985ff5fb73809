/*
 * job_sections.c - the sections of a job file that describe things: the job, instruments, channel assignments, files.
 */
#include "base/setting_range.h"
#include "base/setting_read.h"
#include "base/text.h"
#include "numeric/accuracy.h"
#include "read/job/job_reader.h"

#include <math.h>
#include <string.h>

/* A key that is plain text: its name and where its value goes. */
struct text_key {
    const char *key;
    const char **to;
};

static bool take_text(const struct text_key *keys, size_t n, const struct mr_key *key) {
    for (size_t i = 0; i < n; i++)
        if (strcmp(keys[i].key, key->key) == 0) {
            *keys[i].to = key->value;
            return true;
        }
    return false;
}

static void unknown_key(struct mr_job_reader *r, const struct text_key *keys, size_t n, const char *const *more,
                        size_t n_more, const struct mr_key *key) {
    const char *known[32];
    size_t k = 0;
    for (size_t i = 0; i < n && k < MR_COUNT(known); i++)
        known[k++] = keys[i].key;
    for (size_t i = 0; i < n_more && k < MR_COUNT(known); i++)
        known[k++] = more[i];
    mr_job_unknown(r, key, known, k);
}

const char *mr_moment_scan(const char *text, size_t n, int64_t *out_local_ms) {
    int64_t local_ms;
    if (!mr_scan_iso_local(text, n, &local_ms))
        return "is not a date or moment";
    if (!mr_moment_in_range(local_ms))
        return "is outside the allowed range";
    *out_local_ms = local_ms;
    return NULL;
}

static bool read_moment(struct mr_job_reader *r, const struct mr_key *key, const char *text, size_t n, int64_t *out) {
    while (n && *text == ' ') {
        text++;
        n--;
    }
    while (n && text[n - 1] == ' ')
        n--;
    const char *wrong = mr_moment_scan(text, n, out);
    if (wrong)
        mr_job_wrong(r, key, MR_MOMENT_MEND, wrong);
    return !wrong;
}

/* "A .. B": two moments; one alone stands for both. */
static bool read_span(struct mr_job_reader *r, const struct mr_key *key, const char *text, int64_t *from,
                      int64_t *to) {
    const char *dots = strstr(text, "..");
    if (!dots) {
        if (!read_moment(r, key, text, strlen(text), from))
            return false;
        *to = *from;
        return true;
    }
    if (!read_moment(r, key, text, (size_t)(dots - text), from) ||
        !read_moment(r, key, dots + 2, strlen(dots + 2), to))
        return false;
    if (*from <= *to)
        return true;
    mr_job_wrong(r, key, "Write the earlier one first.", "the span ends before it begins");
    return false;
}

void mr_job_read_job(struct mr_job_reader *r, const struct mr_key_section *s) {
    struct mr_job *job = r->job;
    const struct text_key keys[] = {{"name", &job->name},     {"site", &job->site}, {"contract", &job->contract},
                                    {"client", &job->client}, {"crew", &job->crew}, {"time zone", &job->time_zone}};
    static const char *const more[] = {"dates"};
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *key = &s->keys.v[i];
        if (take_text(keys, MR_COUNT(keys), key))
            continue;
        if (strcmp(key->key, "dates") == 0)
            read_span(r, key, key->value, &job->first_day_local_ms, &job->last_day_local_ms);
        else
            unknown_key(r, keys, MR_COUNT(keys), more, MR_COUNT(more), key);
    }
}

static bool need_argument(struct mr_job_reader *r, const struct mr_key_section *s, const char *example) {
    if (*s->argument)
        return true;
    r->failed = true;
    mr_diag_add(r->diags, MR_ERROR, "job-file", s->place, s->name,
                mr_printf(r->arena, "Write it as [%s \"%s\"].", s->name, example),
                "the section needs a name in quotes");
    return false;
}

/* "2026-05-11 08:00 shown at 2026-05-11 07:56 true" */
static void read_clock_check(struct mr_job_reader *r, const struct mr_key *key, struct mr_instrument *inst) {
    static const char mend[] = "Write it as: 2026-05-11 08:00:00 shown, 2026-05-11 07:56:00 true";
    const char *shown = strstr(key->value, " shown"), *comma = strchr(key->value, ','),
               *truth = strstr(key->value, " true");
    if (!shown || !comma || !truth || shown > comma || comma > truth) {
        mr_job_wrong(r, key, mend, "is not a clock check");
        return;
    }
    if (inst->n_points == MR_COUNT(inst->point)) {
        mr_job_wrong(r, key, "Keep the first and the last.", "a clock can have two checks, not more");
        return;
    }
    struct mr_clock_point p;
    if (read_moment(r, key, key->value, (size_t)(shown - key->value), &p.shown_local_ms) &&
        read_moment(r, key, comma + 1, (size_t)(truth - comma - 1), &p.true_local_ms))
        inst->point[inst->n_points++] = p;
}

static void read_offset(struct mr_job_reader *r, const struct mr_key *key, struct mr_instrument *inst) {
    enum mr_unit unit;
    double written;
    const char *wrong = mr_scan_quantity(key->value, strlen(key->value), &unit, MR_DIM_DURATION, &written);
    if (!wrong && !mr_clock_offset_in_range(mr_to_canonical(unit, written)))
        wrong = "is outside the allowed range";
    if (wrong) {
        mr_job_wrong(r, key,
                     "Write a value from " MR_CLOCK_OFFSET_RANGE ", shown minus true: a clock that is 4 minutes fast "
                     "has `clock offset = 4 min`.",
                     wrong);
        return;
    }
    inst->offset_s = mr_to_canonical(unit, written);
    inst->offset_given = true;
}

static void check_uncertainty(struct mr_job_reader *r, const struct mr_key *key) {
    struct mr_accuracy accuracy;
    const char *wrong = mr_accuracy_scan(key->value, &accuracy);
    if (wrong)
        mr_job_wrong(r, key, MR_ACCURACY_MEND, wrong);
}

static struct mr_instrument *instrument_named(struct mr_job *job, const char *name) {
    for (size_t i = 0; i < job->instruments.n; i++)
        if (strcmp(job->instruments.v[i].name, name) == 0)
            return &job->instruments.v[i];
    return NULL;
}

void mr_job_read_instrument(struct mr_job_reader *r, const struct mr_key_section *s) {
    static const char *const more[] = {"clock offset", "clock check", "certified until"};
    struct mr_instrument inst = {.name = s->argument,
                                 .serial = s->argument,
                                 .files = "",
                                 .time_zone = "",
                                 .uncertainty = "",
                                 .certificate = "",
                                 .certified_until_local_ms = MR_T_NONE,
                                 .zones = "",
                                 .place = s->place};
    if (!need_argument(r, s, "gauge 1"))
        return;
    /* Lines that a report gives for pasting open the section anew: what they add belongs to the same instrument. */
    struct mr_instrument *known = instrument_named(r->job, s->argument);
    if (known)
        inst = *known;
    const struct text_key keys[] = {{"serial", &inst.serial},           {"files", &inst.files},
                                    {"time zone", &inst.time_zone},     {"uncertainty", &inst.uncertainty},
                                    {"certificate", &inst.certificate}, {"zones", &inst.zones}};
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *key = &s->keys.v[i];
        if (strcmp(key->key, "uncertainty") == 0)
            check_uncertainty(r, key);
        if (take_text(keys, MR_COUNT(keys), key))
            continue;
        if (strcmp(key->key, "clock offset") == 0)
            read_offset(r, key, &inst);
        else if (strcmp(key->key, "clock check") == 0)
            read_clock_check(r, key, &inst);
        else if (strcmp(key->key, "certified until") == 0)
            read_moment(r, key, key->value, strlen(key->value), &inst.certified_until_local_ms);
        else
            unknown_key(r, keys, MR_COUNT(keys), more, MR_COUNT(more), key);
    }
    if (inst.offset_given && inst.n_points)
        mr_job_wrong(r, &s->keys.v[0], "State either `clock offset` or `clock check`.",
                     "the clock is described twice");
    if (known) {
        *known = inst;
        return;
    }
    if (mr_job_instrument(r->job, inst.name)) {
        r->failed = true;
        mr_diag_add(r->diags, MR_ERROR, "job-file", s->place, inst.name, "Merge the two sections.",
                    "this instrument has two sections");
    }
    MR_PUSH(r->arena, &r->job->instruments, inst);
}

/* channel = zone [, from .. to]; the key "all" stands for the whole instrument. */
void mr_job_read_assign(struct mr_job_reader *r, const struct mr_key_section *s) {
    if (!need_argument(r, s, "logger 1"))
        return;
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *key = &s->keys.v[i];
        struct mr_assignment a = {.instrument = s->argument,
                                  .channel = strcmp(key->key, "all") == 0 ? "" : key->raw_key,
                                  .from_local_ms = MR_T_NONE,
                                  .to_local_ms = MR_T_NONE,
                                  .place = key->place};
        const char *comma = strrchr(key->value, ',');
        if (comma && !strstr(comma, ".."))
            comma = NULL;
        size_t n = comma ? (size_t)(comma - key->value) : strlen(key->value);
        while (n && key->value[n - 1] == ' ')
            n--;
        a.zone = mr_strndup(r->arena, key->value, n);
        if (!n)
            mr_job_wrong(r, key, "Write: T1 = Deck 3, 2026-05-11 07:00 .. 2026-05-11 12:00", "no zone is named");
        else if (!comma || read_span(r, key, comma + 1, &a.from_local_ms, &a.to_local_ms))
            MR_PUSH(r->arena, &r->job->assignments, a);
    }
}

/* `column NAME = MEANING [UNIT]`: the unit stands in brackets. */
static void read_column(struct mr_job_reader *r, const struct mr_key *key, struct mr_file_rule *rule) {
    struct mr_file_column c = {.name = mr_strdup(r->arena, key->raw_key + strlen("column ")), .unit = ""};
    const char *open = strchr(key->value, '['), *close = open ? strchr(open, ']') : NULL;
    if (open && !close) {
        mr_job_wrong(r, key, "Write: column Dicke = thickness [um]", "the bracket around the unit does not close");
        return;
    }
    size_t n = open ? (size_t)(open - key->value) : strlen(key->value);
    while (n && key->value[n - 1] == ' ')
        n--;
    c.meaning = mr_strndup(r->arena, key->value, n);
    if (open)
        c.unit = mr_strndup(r->arena, open + 1, (size_t)(close - open - 1));
    MR_PUSH(r->arena, &rule->column, c);
}

static void one_of(struct mr_job_reader *r, const struct mr_key_section *s, const char *key_name, const char *value,
                   const char *const *words, size_t n) {
    char *folded = mr_fold(r->arena, value, strlen(value));
    for (size_t i = 0; i < n; i++)
        if (!*value || strcmp(mr_fold(r->arena, words[i], strlen(words[i])), folded) == 0)
            return;
    const char *list = words[0];
    for (size_t i = 1; i < n; i++)
        list = mr_printf(r->arena, "%s, %s", list, words[i]);
    mr_job_wrong(r, mr_key_find(s, key_name), mr_printf(r->arena, "Write one of: %s.", list), "is not accepted here");
}

void mr_job_read_file(struct mr_job_reader *r, const struct mr_key_section *s) {
    static const char *const encodings[] = {"utf-8", "utf-16le", "utf-16be", "windows-1252", "latin-1"};
    static const char *const delimiters[] = {"comma", "semicolon", "tab", "pipe", "blanks"};
    static const char *const decimals[] = {"point", "comma"};
    static const char *const orders[] = {"year-first", "month-first", "day-first", "year-day-month"};
    struct mr_file_rule f = {.glob = s->argument,
                             .kind = "",
                             .encoding = "",
                             .delimiter = "",
                             .decimal = "",
                             .dates = "",
                             .start = "",
                             .time_zone = "",
                             .instrument = "",
                             .missing = "",
                             .columns = "",
                             .place = s->place};
    if (!need_argument(r, s, "exports/gauge-*.csv"))
        return;
    const struct text_key keys[] = {
        {"kind", &f.kind},       {"encoding", &f.encoding},   {"delimiter", &f.delimiter},   {"decimal", &f.decimal},
        {"dates", &f.dates},     {"time zone", &f.time_zone}, {"instrument", &f.instrument}, {"missing", &f.missing},
        {"columns", &f.columns}, {"start", &f.start}};
    static const char *const more[] = {"column NAME"};
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *key = &s->keys.v[i];
        int64_t start_ms;
        if (strcmp(key->key, "start") == 0) /* one that is none would give way to what the file says of itself */
            read_moment(r, key, key->value, strlen(key->value), &start_ms);
        if (strncmp(key->key, "column ", 7) == 0)
            read_column(r, key, &f);
        else if (!take_text(keys, MR_COUNT(keys), key))
            unknown_key(r, keys, MR_COUNT(keys), more, MR_COUNT(more), key);
    }
    one_of(r, s, "encoding", f.encoding, encodings, MR_COUNT(encodings));
    one_of(r, s, "delimiter", f.delimiter, delimiters, MR_COUNT(delimiters));
    one_of(r, s, "decimal", f.decimal, decimals, MR_COUNT(decimals));
    one_of(r, s, "dates", f.dates, orders, MR_COUNT(orders));
    MR_PUSH(r->arena, &r->job->file_rules, f);
}

static bool read_decision(struct mr_job_reader *r, const struct mr_key *key, enum mr_decision *out) {
    static const char *const words[] = {[MR_DECISION_REPAIR] = "repair",
                                        [MR_DECISION_INSPECT_AGAIN] = "inspect again",
                                        [MR_DECISION_ACCEPT] = "accept as is"};
    const char *folded = mr_fold(r->arena, key->value, strlen(key->value));
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (strcmp(folded, words[i]) == 0) {
            *out = (enum mr_decision)i;
            return true;
        }
    mr_job_wrong(r, key, "Write one of: repair, inspect again, accept as is.", "is not a decision");
    return false;
}

/* "-", "tbd" and "unknown" hold a place for what nobody has said yet. */
static bool says_nothing(const char *text) {
    static const char *const words[] = {"tbd",     "tba",  "tbc", "todo", "n/a", "na",  "none", "nil", "unknown",
                                        "pending", "open", "xx",  "xxx",  "nn",  "yes", "no",   "ok"};
    const size_t n = strlen(text);
    bool letters = false;
    for (size_t i = 0; i < n; i++)
        letters |= (text[i] | 32) >= 'a' && (text[i] | 32) <= 'z';
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (mr_text_equal_fold(text, n, words[i], strlen(words[i])))
            return true;
    return n < 2 || (!letters && (unsigned char)text[0] < 0x80);
}

/* Without who, when and why a disposition is none: all of them must stand. */
void mr_job_read_disposition(struct mr_job_reader *r, const struct mr_key_section *s) {
    static const char *const more[] = {"decision", "when"};
    struct mr_disposition d = {
        .zone = s->argument, .areas = "", .by = "", .why = "", .when_local_ms = MR_T_NONE, .place = s->place};
    const struct text_key keys[] = {{"areas", &d.areas}, {"by", &d.by}, {"why", &d.why}};
    bool decided = false, failed = false;
    if (!need_argument(r, s, "Deck 3"))
        return;
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *key = &s->keys.v[i];
        if (take_text(keys, MR_COUNT(keys), key))
            continue;
        if (strcmp(key->key, "decision") == 0) {
            decided = true;
            failed = !read_decision(r, key, &d.decision) || failed;
        } else if (strcmp(key->key, "when") == 0) {
            failed = !read_moment(r, key, key->value, strlen(key->value), &d.when_local_ms) || failed;
            d.day_only = strlen(key->value) <= strlen("2026-05-11");
        } else {
            unknown_key(r, keys, MR_COUNT(keys), more, MR_COUNT(more), key);
        }
    }
    if (!failed && (!decided || says_nothing(d.by) || says_nothing(d.why) || d.when_local_ms == MR_T_NONE)) {
        r->failed = true;
        mr_diag_add(r->diags, MR_ERROR, "job-file", s->place, s->argument,
                    "State decision (repair, inspect again or accept as is), by (role), when and why.",
                    "the disposition is incomplete");
    }
    MR_PUSH(r->arena, &r->job->dispositions, d);
}
