/*
 * changes.c - see changes.h. The former report is the only memory: whoever takes the failing readings out of a folder
 * finds the non-conformance still in the register, with what showed it.
 */
#include "render/data/changes.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

struct comparison {
    struct mr_arena *arena;
    const struct mr_assessment *a;
    const struct mr_former *former;
    struct mr_table *table;
    bool *met;                          /* shape: former->entries.n; still in the register */
    MR_VEC(struct mr_finding) findings; /* entries that are open, and that nothing shows any more */
};

static void add(struct comparison *h, const char *about, const char *what, const char *before, const char *after,
                const char *words) {
    const struct mr_value row[] = {mr_v_text(about), mr_v_text(what), mr_v_text(before), mr_v_text(after),
                                   mr_v_text(words)};
    mr_table_add(h->arena, h->table, row);
}

/* ---- zones ---- */

static const char *film_text(const struct comparison *h, double um) {
    enum mr_unit u = h->a->job->display.film;
    return isnan(um) ? "none"
                     : mr_printf(h->arena, "%.*f %s", u == MR_UNIT_MIL ? 2 : 1, mr_from_canonical(u, um),
                                 mr_unit_symbol(u));
}

static void compare_film(struct comparison *h, const struct mr_former_zone *before, const struct mr_zone_film *film) {
    long readings = film ? (long)film->n_readings : -1, more = readings - before->readings;
    const char *was = film_text(h, before->mean_um), *is = film_text(h, film ? film->mean_um : MR_NAN);
    if (readings != before->readings)
        add(h, before->name, "readings that count",
            before->readings < 0 ? "none" : mr_printf(h->arena, "%ld", before->readings),
            readings < 0 ? "none" : mr_printf(h->arena, "%ld", readings),
            before->readings < 0 ? "The film was measured."
            : readings < 0       ? "No reading of the film counts any more."
                                 : mr_printf(h->arena, "%ld reading%s %s.", labs(more), labs(more) == 1 ? "" : "s",
                                       more > 0 ? "more" : "fewer"));
    if (strcmp(was, is) != 0)
        add(h, before->name, "mean film", was, is, "The mean of the readings that count changed.");
    was = film_text(h, before->least_um);
    is = film_text(h, film ? film->min_um : MR_NAN);
    if (strcmp(was, is) != 0)
        add(h, before->name, "least reading", was, is, "The least of the readings that count changed.");
}

static const struct mr_zone_film *film_of(const struct mr_assessment *a, size_t zone) {
    for (size_t i = 0; i < a->films.n; i++)
        if (a->films.v[i].zone == zone)
            return &a->films.v[i];
    return NULL;
}

static const struct mr_former_zone *former_zone(const struct mr_former *f, const char *name) {
    for (size_t i = 0; i < f->zones.n; i++)
        if (strcmp(f->zones.v[i].name, name) == 0)
            return &f->zones.v[i];
    return NULL;
}

static void compare_zones(struct comparison *h) {
    const struct mr_alignment *al = h->a->aligned;
    for (size_t z = 0; z < al->zones.n; z++) {
        const char *name = al->zones.v[z].name, *now = mr_outcome_text(h->a->zones[z].outcome);
        const struct mr_former_zone *before = former_zone(h->former, name);
        if (!before) {
            add(h, name, "outcome", "", now, "The zone is new in this revision.");
            continue;
        }
        const char *why = h->a->zones[z].worst;
        if (strcmp(before->outcome, now) != 0)
            add(h, name, "outcome", before->outcome, now,
                why && *why ? mr_printf(h->arena, "What decides it now: %s.", why) : "Every check holds now.");
        compare_film(h, before, film_of(h->a, z));
    }
    for (size_t i = 0; i < h->former->zones.n; i++) {
        const struct mr_former_zone *before = &h->former->zones.v[i];
        bool there = false;
        for (size_t z = 0; z < al->zones.n; z++)
            there = there || strcmp(al->zones.v[z].name, before->name) == 0;
        if (!there)
            add(h, before->name, "outcome", before->outcome, "", "The zone is no longer in the job.");
    }
}

/* ---- files and settings ---- */

typedef MR_VEC(struct mr_former_pair) pair_list;

static const char *value_of(const struct mr_former_pair *v, size_t n, const char *name) {
    for (size_t i = 0; i < n; i++)
        if (strcmp(v[i].name, name) == 0)
            return v[i].value;
    return NULL;
}

static void compare_files(struct comparison *h) {
    const struct mr_data *data = h->a->aligned->data;
    const struct mr_former *f = h->former;
    pair_list now = {0};
    for (size_t i = 0; i < data->files.n; i++) {
        const struct mr_source *s = data->files.v[i].source;
        struct mr_former_pair pair = {s->path, s->sha256};
        MR_PUSH(h->arena, &now, pair);
        const char *before = value_of(f->files.v, f->files.n, s->path);
        if (!before)
            add(h, s->path, "file", "", "in the folder", "The file was added.");
        else if (strcmp(before, s->sha256) != 0)
            add(h, s->path, "file", mr_printf(h->arena, "%.12s", before), mr_printf(h->arena, "%.12s", s->sha256),
                "The file has changed (first figures of its SHA-256).");
    }
    for (size_t i = 0; i < f->files.n; i++)
        if (!value_of(now.v, now.n, f->files.v[i].name))
            add(h, f->files.v[i].name, "file", "in the folder", "", "The file is no longer in the folder.");
}

static void list_settings(struct comparison *h, pair_list *out) {
    const struct mr_job *job = h->a->job;
    for (size_t k = 0; k <= job->specs.n; k++)
        for (int i = 0; i < MR_SETTING_COUNT; i++) {
            const struct mr_settings *set = k ? &job->specs.v[k - 1] : &job->settings;
            const struct mr_setting *s = &set->v[i];
            struct mr_former_pair pair = {
                mr_setting_name(h->arena, k ? set->spec : "", mr_setting_defs[i].section, mr_setting_defs[i].key),
                s->set && s->text ? s->text : ""};
            MR_PUSH(h->arena, out, pair);
        }
}

/* A specification lists only what differs from the job's own, so what it does not list is the job's. */
static void compare_settings(struct comparison *h) {
    const struct mr_former *f = h->former;
    pair_list now = {0};
    list_settings(h, &now);
    for (size_t i = 0; i < now.n; i++) {
        const char *own = strchr(now.v[i].name, '['), *before = value_of(f->settings.v, f->settings.n, now.v[i].name);
        if (!before && own != now.v[i].name)
            before = value_of(f->settings.v, f->settings.n, own);
        if (before && strcmp(before, now.v[i].value) != 0)
            add(h, now.v[i].name, "setting", before, now.v[i].value, "The setting in force has changed.");
    }
}

/* ---- the register ---- */

static size_t field(const struct mr_table *t, const char *key) {
    for (size_t i = 0; i < t->n_fields; i++)
        if (strcmp(t->fields[i].key, key) == 0)
            return i;
    return MR_NONE;
}

static const char *text_in(const struct mr_table *t, size_t row, const char *key) {
    size_t at = field(t, key);
    const struct mr_value cell = at == MR_NONE ? mr_v_text("") : mr_table_value(t, row, at);
    const char *text = mr_v_words(&cell);
    return text ? text : "";
}

/* What a number says behind the day. */
static const char *behind_day(const char *number) {
    const char *blank = strchr(number, ' ');
    return blank ? blank : number;
}

static bool has_number(const struct mr_table *t, const char *number) {
    for (size_t r = 0; t && r < t->n_rows; r++)
        if (strcmp(text_in(t, r, "number"), number) == 0)
            return true;
    return false;
}

/* The former entry that a row carries on: of the same number, else of the same kind and zone, found in the same
 * lines (a clock that was put right moves the day). */
static size_t carried(const struct comparison *h, const struct mr_table *t, size_t row) {
    const char *number = text_in(t, row, "number");
    const struct mr_former *f = h->former;
    for (size_t i = 0; i < f->entries.n; i++)
        if (strcmp(f->entries.v[i].number, number) == 0)
            return i;
    for (size_t i = 0; i < f->entries.n; i++)
        if (!h->met[i] && *f->entries.v[i].found_in && !has_number(t, f->entries.v[i].number) &&
            strcmp(f->entries.v[i].found_in, text_in(t, row, "found_in")) == 0 &&
            strcmp(behind_day(f->entries.v[i].number), behind_day(number)) == 0)
            return i;
    return MR_NONE;
}

static bool is_open(const char *state) {
    return strncmp(state, "open", 4) == 0;
}

static const char gone_text[] = "open; what showed it is no longer in the job folder",
                  gone_closed[] = "closed; what showed it is no longer in the job folder";

/* What the job file says became of it; NULL where it says nothing from the day of the finding on. */
static const struct mr_disposition *decision_on(const struct comparison *h, const struct mr_former_entry *e) {
    const struct mr_job *job = h->a->job;
    int64_t found_local_ms = INT64_MIN;
    (void)mr_scan_iso_local(e->found, strnlen(e->found, 10), &found_local_ms);
    for (size_t i = 0; i < job->dispositions.n; i++) {
        const struct mr_disposition *d = &job->dispositions.v[i];
        if (mr_zone_find(h->a->aligned, d->zone, NULL) == mr_zone_find(h->a->aligned, e->zone, NULL) &&
            mr_zone_find(h->a->aligned, e->zone, NULL) != MR_NONE && d->when_local_ms >= found_local_ms)
            return d;
    }
    return NULL;
}

static void find_gone(struct comparison *h, const struct mr_former_entry *e) {
    struct mr_finding f = {.id = "non-conformance-gone",
                           .severity = MR_WARNING,
                           .zone = mr_zone_find(h->a->aligned, e->zone, NULL),
                           .t0_utc_ms = MR_T_NONE,
                           .t1_utc_ms = MR_T_NONE,
                           .measured = (double)NAN,
                           .limit = (double)NAN,
                           .rule = "a non-conformance stays open until what closed it is in the job folder",
                           .source = MR_SRC_PD};
    f.what =
        mr_printf(h->arena,
                  "Zone %s: non-conformance \"%s\" of a former revision is open, and what showed it is no longer in "
                  "the job folder: %s.",
                  e->zone, e->number, e->what);
    f.next_step =
        mr_printf(h->arena,
                  "Non-conformance \"%s\" is still open: put back what showed it%s%s%s and log the repair; or "
                  "state under [disposition \"%s\"] of the job file the decision, by whom (role), when and why.",
                  e->number, *e->found_in ? " (" : "", e->found_in, *e->found_in ? ")" : "", e->zone);
    MR_PUSH(h->arena, &h->findings, f);
}

/* Behind those that do not conform: the list goes from the gravest down. */
static void put_findings(struct comparison *h, struct mr_assessment *with) {
    const struct mr_assessment *a = h->a;
    size_t k = 0;
    if (!h->findings.n)
        return;
    with->findings.v = NULL;
    with->findings.n = with->findings.cap = 0;
    for (; k < a->findings.n && a->findings.v[k].severity == MR_ERROR; k++)
        MR_PUSH(h->arena, &with->findings, a->findings.v[k]);
    for (size_t i = 0; i < h->findings.n; i++)
        MR_PUSH(h->arena, &with->findings, h->findings.v[i]);
    for (; k < a->findings.n; k++)
        MR_PUSH(h->arena, &with->findings, a->findings.v[k]);
}

static const char *gone_state(const struct comparison *h, const struct mr_former_entry *e) {
    static const char decided[] = "closed by a disposition of the ";
    const struct mr_disposition *d = is_open(e->state) ? decision_on(h, e) : NULL;
    if (d)
        return mr_printf(h->arena, "%s%s: %s", decided, d->by, d->why);
    if (is_open(e->state))
        return gone_text;
    return strncmp(e->state, decided, sizeof decided - 1) == 0 ? e->state : gone_closed;
}

static void add_gone(struct comparison *h, struct mr_table *t, const struct mr_former_entry *e) {
    const char *state = gone_state(h, e);
    if (is_open(state))
        find_gone(h, e);
    const struct {
        const char *key, *text;
    } cells[] = {{"number", e->number}, {"zone", e->zone},           {"what", e->what},
                 {"found", e->found},   {"found_in", e->found_in},   {"disposition", e->disposition},
                 {"closed", e->closed}, {"closed_by", e->closed_by}, {"state", state}};
    struct mr_value *row = MR_ARRAY(h->arena, struct mr_value, t->n_fields);
    for (size_t i = 0; i < t->n_fields; i++)
        row[i] = mr_v_blank("");
    for (size_t i = 0; i < MR_COUNT(cells); i++) {
        size_t at = field(t, cells[i].key);
        if (at != MR_NONE)
            row[at] = *cells[i].text ? mr_v_text(cells[i].text) : mr_v_blank("");
    }
    mr_table_add(h->arena, t, row);
    if (strcmp(e->state, state) != 0)
        add(h, e->number, "non-conformance", e->state, state,
            "What showed it was taken out of the folder or changed.");
}

/* The register with former numbers, then the entries that nothing shows any more. */
static struct mr_table *carry_register(struct comparison *h, const struct mr_table *now, size_t *gone) {
    const struct mr_former *f = h->former;
    struct mr_table *t = MR_NEW(h->arena, struct mr_table);
    *t = *now;
    t->cells = NULL;
    t->values.v = NULL;
    t->values.n = t->values.cap = t->n_rows = 0;
    for (size_t r = 0; r < now->n_rows; r++) {
        struct mr_value *row = MR_ARRAY(h->arena, struct mr_value, now->n_fields);
        for (size_t i = 0; i < now->n_fields; i++)
            row[i] = mr_table_value(now, r, i);
        size_t from = carried(h, now, r), number = field(now, "number");
        const char *state = text_in(now, r, "state");
        if (from == MR_NONE) {
            add(h, row[number].text, "non-conformance", "", state, text_in(now, r, "what"));
        } else {
            h->met[from] = true;
            row[number] = mr_v_text(f->entries.v[from].number);
            if (strcmp(f->entries.v[from].state, state) != 0)
                add(h, row[number].text, "non-conformance", f->entries.v[from].state, state,
                    *text_in(now, r, "disposition") ? text_in(now, r, "disposition") : text_in(now, r, "what"));
        }
        mr_table_add(h->arena, t, row);
    }
    for (size_t i = 0; i < f->entries.n; i++)
        if (!h->met[i]) {
            *gone += is_open(f->entries.v[i].state) && !decision_on(h, &f->entries.v[i]);
            add_gone(h, t, &f->entries.v[i]);
        }
    return t;
}

static struct mr_table *history_table(struct mr_arena *arena, long before) {
    static const struct mr_field fields[] = {{"about", "About", MR_UNIT_NONE, 0},
                                             {"what", "What", MR_UNIT_NONE, 0},
                                             {"before", "Before", MR_UNIT_NONE, 0},
                                             {"after", "Now", MR_UNIT_NONE, 0},
                                             {"words", "Details", MR_UNIT_NONE, 0}};
    return mr_table_new(arena, "revision-history", "Changes since the last revision",
                        mr_printf(arena,
                                  "What changed since revision %ld: outcomes, films, files, settings in force and "
                                  "non-conformances. What is not listed is as it was.",
                                  before),
                        MR_COUNT(fields), fields);
}

const struct mr_assessment *mr_with_former(struct mr_arena *arena, const struct mr_assessment *a,
                                           const struct mr_former *former, const char *version, size_t *out_gone) {
    *out_gone = 0;
    if (!former->any)
        return a;
    struct mr_assessment *with = MR_NEW(arena, struct mr_assessment);
    struct comparison h = {arena,
                           a,
                           former,
                           history_table(arena, former->revision),
                           MR_ARRAY(arena, bool, former->entries.n + 1),
                           .findings = {0}};
    *with = *a;
    with->tables.v = NULL;
    with->tables.n = with->tables.cap = 0;
    const char *now = mr_outcome_text(a->outcome);
    if (strcmp(former->outcome, now) != 0)
        add(&h, "the job", "outcome", former->outcome, now, "The job's outcome has changed.");
    compare_zones(&h);
    bool registered = false;
    for (size_t i = 0; i < a->tables.n; i++) {
        struct mr_table *t = a->tables.v[i];
        bool is_register = strcmp(t->id, MR_REGISTER) == 0;
        registered = registered || is_register;
        t = is_register ? carry_register(&h, t, out_gone) : t;
        MR_PUSH(arena, &with->tables, t);
    }
    if (!registered && former->entries.n) {
        /* a report in which nothing fails has no register; the former one's is then made anew */
        struct mr_table *empty =
            mr_register_table(arena, "Non-conformances of former revisions that the data no longer show.");
        struct mr_table *t = carry_register(&h, empty, out_gone);
        MR_PUSH(arena, &with->tables, t);
    }
    compare_files(&h);
    compare_settings(&h);
    if (version && strcmp(former->version, version) != 0)
        add(&h, "milrise", "version", former->version, version, "Another version of the program made this report.");
    MR_PUSH(arena, &with->tables, h.table);
    put_findings(&h, with);
    return with;
}
