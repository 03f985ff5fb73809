/*
 * zones.c - the list of zones and the names that lead to them: the register first, then every other name that a file
 * or the job uses. A name that no register knows is a zone of its own, shown as unregistered; a near miss is only
 * told.
 */
#include "align/align_state.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct mr_place mr_align_place(const struct mr_align_state *st, uint32_t file, uint32_t line) {
    const struct mr_file *f = &st->data->files.v[file];
    return (struct mr_place){.file = f->source ? f->source->path : NULL, .line = line};
}

static const struct mr_settings *settings_of(struct mr_align_state *st, const char *spec, struct mr_place place) {
    if (!spec || !*spec)
        return &st->job->settings;
    const struct mr_settings *settings = mr_job_spec(st->job, spec);
    if (settings)
        return settings;
    mr_diag_add(st->diags, MR_WARNING, "unknown-specification", place, spec,
                "Give its limits in the job file, e.g. [thickness \"NAME\"].",
                "the job file has no limits for this specification; the job's general limits apply");
    return &st->job->settings;
}

static void claim(struct mr_align_state *st, const char *name, size_t zone, bool alias, struct mr_place place) {
    char key[MR_ZONE_KEY_MAX];
    if (mr_zone_key(name, key) == 0)
        return;
    size_t holder = mr_names_get(&st->keys, key);
    if (holder == zone)
        return;
    if (holder == MR_NONE) {
        mr_names_put(st->arena, &st->keys, key, zone);
        if (alias)
            mr_names_put(st->arena, &st->alias_keys, key, zone);
        return;
    }
    mr_diag_add(st->diags, MR_WARNING, "zone-name-twice", place, name,
                "Use each name and each alias for one zone only.", "two zones in the register have this name");
    /* A name outranks an alias; of two aliases neither is believed. */
    if (alias && mr_names_get(&st->alias_keys, key) != MR_NONE)
        mr_names_put(st->arena, &st->keys, key, MR_ZONE_AMBIGUOUS);
    else if (holder < st->out->zones.n) { /* rows under that name may be of either */
        st->out->zones.v[zone].also = st->out->zones.v[holder].name;
        st->out->zones.v[holder].also = st->out->zones.v[zone].name;
    }
}

static bool differ(double a, double b) {
    return isnan(a) != isnan(b) || a < b || a > b;
}

/* Whether a further row of the register says nothing else of a zone. */
static bool says_the_same(const struct mr_zone *z, const struct mr_zone_row *r, const struct mr_settings *settings) {
    return !differ(z->area_m2, r->area_m2) && !differ(z->steel_mm, r->steel_mm) &&
           !differ(z->profile_um, r->profile_um) && !differ(z->member_mm, r->member_mm) &&
           z->coats == (r->coats > 0 ? r->coats : 1) && z->settings == settings;
}

/* "Level +1" and "Level -1" are two zones to whoever wrote them, though no file could be told which one it means. */
static void take_again(struct mr_align_state *st, struct mr_zone *z, const struct mr_zone_row *r,
                       struct mr_place place) {
    place.column = r->column;
    if (mr_text_equal_fold(z->name, strlen(z->name), r->name, strlen(r->name))) {
        mr_diag_add(st->diags, MR_WARNING, "zone-name-twice", place, r->name, "Keep one row for each zone.",
                    "this zone is already in the register; its first row applies");
        return;
    }
    z->also = z->also ? z->also : r->name;
    mr_diag_add(
        st->diags, MR_ERROR, "zone-names-alike", place, r->name,
        "Name one of them by letters or figures of its own, such as \"Level 1 below\", in the register and in "
        "every file.",
        "reads like \"%s\" in line %u: signs, blanks and leading zeros do not tell names apart", z->name,
        z->place.line);
}

static void add_register(struct mr_align_state *st) {
    const struct mr_data *d = st->data;
    size_t first = st->out->zones.n;
    for (size_t i = 0; i < d->zones.n; i++) {
        const struct mr_zone_row *r = &d->zones.v[i];
        struct mr_place place = mr_align_place(st, r->file, r->line);
        char key[MR_ZONE_KEY_MAX];
        if (mr_zone_key(r->name, key) == 0)
            continue;
        const size_t known = mr_names_get(&st->keys, key);
        if (known != MR_NONE) {
            struct mr_zone *z = &st->out->zones.v[known];
            z->contradicted = z->contradicted || !says_the_same(z, r, settings_of(st, r->spec, place));
            take_again(st, z, r, place);
            continue;
        }
        mr_names_put(st->arena, &st->keys, key, st->out->zones.n);
        struct mr_zone z = {.name = r->name,
                            .aliases = r->aliases ? r->aliases : "",
                            .registered = true,
                            .area_m2 = r->area_m2,
                            .steel_mm = r->steel_mm,
                            .profile_um = r->profile_um,
                            .member_mm = r->member_mm,
                            .substrate = r->substrate ? r->substrate : "",
                            .grade = r->grade ? r->grade : "",
                            .settings = settings_of(st, r->spec, place),
                            .coats = r->coats > 0 ? r->coats : 1,
                            .near = "",
                            .place = place};
        MR_PUSH(st->arena, &st->out->zones, z);
    }
    for (size_t i = first; i < st->out->zones.n; i++) {
        char alias[MR_ZONE_KEY_MAX];
        for (const char *p = st->out->zones.v[i].aliases; (p = mr_alias_next(p, alias));)
            claim(st, alias, i, true, st->out->zones.v[i].place);
    }
}

/* A name met outside the register. */
struct met {
    const char *key, *name;
    const char *near; /* the registered name that it may be a slip of the pen for; NULL */
    bool of_climate;  /* met in records of the climate alone: a place, and no zone to accept */
    struct mr_place place;
};
typedef MR_VEC(struct met) met_list;

/* What people write of the weather of the whole job; without blanks. */
static bool is_whole_job(const struct mr_align_state *st, const char *key) {
    static const char *const whole[] = {"site",     "jobsite",    "worksite",  "onsite",   "wholesite", "job",
                                        "wholejob", "all",        "allzones",  "allareas", "general",   "generally",
                                        "overall",  "everywhere", "baustelle", "gesamt",   "alle",      "chantier",
                                        "tout",     "obra",       "todo",      "cantiere", "tutto"};
    char joined[MR_ZONE_KEY_MAX], own[MR_ZONE_KEY_MAX];
    size_t n = 0;
    for (const char *p = key; *p; p++)
        if (*p != ' ')
            joined[n++] = *p;
    joined[n] = '\0';
    const char *const names[] = {st->job->name, st->job->site};
    for (size_t i = 0; i < MR_COUNT(names); i++)
        if (names[i] && mr_zone_key(names[i], own) && strcmp(own, key) == 0)
            return true;
    return mr_word_among(joined, n, whole, MR_COUNT(whole));
}

/* What people write where they know no name: such rows name no zone, unless the register has one called so. */
static bool is_no_name(const char *key) {
    static const char *const none[] = {
        "na",       "none",        "nil",     "null",     "unknown",   "notknown",   "tbd",
        "tba",      "tbc",         "seenote", "seenotes", "seeremark", "seeremarks", "various",
        "nozone",   "unassigned",  "other",   "x",        "xx",        "xxx",        "unbekannt",
        "keine",    "keiner",      "ohne",    "inconnu",  "aucun",     "aucune",     "desconocido",
        "ninguno",  "sconosciuto", "nessuno", "onbekend", "geen",      "okand",      "ingen",
        "nieznany", "brak",        "0"};
    char joined[MR_ZONE_KEY_MAX];
    size_t n = 0;
    for (const char *p = key; *p; p++)
        if (*p != ' ')
            joined[n++] = *p;
    joined[n] = '\0';
    return mr_word_among(joined, n, none, MR_COUNT(none));
}

static void meet(struct mr_align_state *st, met_list *list, struct mr_names *seen, const char *name,
                 struct mr_place place) {
    if (!name || !*name || mr_names_get(&st->written, name) != MR_NONE)
        return;
    char key[MR_ZONE_KEY_MAX];
    if (mr_zone_key(name, key) == 0)
        return;
    mr_names_put(st->arena, &st->written, name, 0); /* met; the zone follows */
    if (strcmp(key, "gun") == 0 || is_no_name(key))
        return;
    size_t known = mr_names_get(&st->keys, key);
    if (known != MR_NONE && known != MR_ZONE_AMBIGUOUS)
        return;
    size_t at = mr_names_get(seen, key);
    if (at != MR_NONE) {
        if (strcmp(name, list->v[at].name) < 0)
            list->v[at].name = name;
        return;
    }
    mr_names_put(st->arena, seen, key, list->n);
    struct met item = {.key = mr_strdup(st->arena, key), .name = name, .place = place};
    MR_PUSH(st->arena, list, item);
}

/* Zones that a job file names must be in the register, where there is one: the job file can be mended at once. */
static void meet_job(struct mr_align_state *st, met_list *list, struct mr_names *seen, const char *name,
                     struct mr_place place) {
    size_t before = list->n;
    meet(st, list, seen, name, place);
    if (list->n > before && st->data->zones.n)
        mr_align_error(st, "assignment-zone", place, name, "Write the zone's name as in the zone register.",
                       "there is no such zone in the zone register");
}

static bool is_climate(enum mr_meaning meaning) {
    return meaning == MR_M_AIR || meaning == MR_M_RH || meaning == MR_M_STEEL || meaning == MR_M_DEW;
}

static void meet_channels(struct mr_align_state *st, met_list *list, struct mr_names *seen, bool climate) {
    for (size_t i = 0; i < st->data->channels.n; i++) {
        const struct mr_channel *c = &st->data->channels.v[i];
        if (is_climate(c->meaning) == climate)
            meet(st, list, seen, c->zone, mr_align_place(st, c->file, c->n ? (uint32_t)mr_whole(&c->line, 0) : 0));
    }
}

static void meet_all(struct mr_align_state *st, met_list *list, struct mr_names *seen) {
    const struct mr_data *d = st->data;
    for (size_t i = 0; i < d->sprays.n; i++)
        meet(st, list, seen, d->sprays.v[i].zone, mr_align_place(st, d->sprays.v[i].file, d->sprays.v[i].line));
    for (size_t i = 0; i < d->readings.n; i++)
        meet(st, list, seen, d->readings.v[i].zone, mr_align_place(st, d->readings.v[i].file, d->readings.v[i].line));
    for (size_t i = 0; i < d->base_metal.n; i++)
        meet(st, list, seen, d->base_metal.v[i].zone,
             mr_align_place(st, d->base_metal.v[i].file, d->base_metal.v[i].line));
    for (size_t i = 0; i < d->wet_film.n; i++)
        meet(st, list, seen, d->wet_film.v[i].zone, mr_align_place(st, d->wet_film.v[i].file, d->wet_film.v[i].line));
    meet_channels(st, list, seen, false);
    for (size_t i = 0; i < st->job->assignments.n; i++)
        meet_job(st, list, seen, st->job->assignments.v[i].zone, st->job->assignments.v[i].place);
    for (size_t i = 0; i < st->job->instruments.n; i++) {
        const struct mr_instrument *inst = &st->job->instruments.v[i];
        char name[MR_ZONE_KEY_MAX];
        for (const char *p = inst->zones ? inst->zones : ""; (p = mr_name_next(p, ",", name));)
            meet_job(st, list, seen, mr_strdup(st->arena, name), inst->place);
    }
    const size_t before = list->n;
    meet_channels(st, list, seen, true);
    for (size_t i = before; i < list->n; i++)
        list->v[i].of_climate = true;
}

static int by_name(const void *a, const void *b) {
    const struct met *x = a, *y = b;
    int names = strcmp(x->name, y->name);
    return names ? names : strcmp(x->key, y->key);
}

static void tell_near_misses(struct mr_align_state *st, met_list *list) {
    mr_zone_candidates candidates = {0};
    for (size_t i = 0; i < st->out->zones.n; i++) {
        const struct mr_zone *z = &st->out->zones.v[i];
        mr_zone_candidate_add(st->arena, &candidates, z->name);
        char alias[MR_ZONE_KEY_MAX];
        for (const char *p = z->aliases; (p = mr_alias_next(p, alias));)
            mr_zone_candidate_add(st->arena, &candidates, alias);
    }
    const char **room = MR_ARRAY(st->arena, const char *, candidates.n);
    for (size_t i = 0; i < list->n; i++) {
        struct met *met = &list->v[i];
        const char *near = met->near = mr_zone_near(met->name, &candidates, room);
        if (near)
            mr_diag_add(
                st->diags, MR_WARNING, "zone-near-miss", met->place, met->name,
                mr_printf(st->arena, "If it means \"%s\", add it to that zone's aliases in the zone register.", near),
                "no zone in the register has this name; it is treated as a separate zone");
        else if (!met->of_climate)
            mr_diag_add(st->diags, MR_WARNING, "zone-unregistered", met->place, met->name,
                        "Add it to the zone register, as a zone or as an alias.",
                        "no zone in the register has this name");
    }
}

/* A place that only the climate was taken at is no zone to accept; what was measured there stands for no zone, unless
 * the place is the whole job. */
static void place_elsewhere(struct mr_align_state *st, const struct met *met) {
    if (is_whole_job(st, met->key))
        return;
    mr_names_put(st->arena, &st->keys, met->key, MR_ZONE_ELSEWHERE);
    mr_diag_add(
        st->diags, MR_WARNING, "place-unregistered", met->place, met->name,
        "If it is a zone, add it to that zone's aliases in the zone register; else state with `zones =` under "
        "[instrument] for which zones it stood.",
        "no zone has this name, so the climate there counts for none");
}

void mr_align_zones(struct mr_align_state *st) {
    add_register(st);
    met_list list = {0};
    struct mr_names seen = {0};
    meet_all(st, &list, &seen);
    if (list.n)
        qsort(list.v, list.n, sizeof *list.v, by_name);
    if (st->out->zones.n)
        tell_near_misses(st, &list);
    for (size_t i = 0; i < list.n; i++) {
        if (list.v[i].of_climate && !list.v[i].near) {
            place_elsewhere(st, &list.v[i]);
            continue;
        }
        mr_names_put(st->arena, &st->keys, list.v[i].key, st->out->zones.n);
        struct mr_zone z = {.name = list.v[i].name,
                            .aliases = "",
                            .area_m2 = (double)NAN,
                            .steel_mm = (double)NAN,
                            .profile_um = (double)NAN,
                            .member_mm = (double)NAN,
                            .substrate = "",
                            .grade = "",
                            .settings = &st->job->settings,
                            .coats = 1,
                            .near = list.v[i].near ? list.v[i].near : "",
                            .place = list.v[i].place};
        MR_PUSH(st->arena, &st->out->zones, z);
    }
    for (size_t i = 0; i < st->written.room; i++) {
        char key[MR_ZONE_KEY_MAX];
        if (!st->written.text[i])
            continue;
        mr_zone_key(st->written.text[i], key);
        st->written.value[i] = strcmp(key, "gun") == 0 && mr_names_get(&st->keys, key) == MR_NONE
                                   ? MR_ZONE_GUN
                                   : mr_names_get(&st->keys, key);
    }
}

size_t mr_align_zone(struct mr_align_state *st, const char *written) {
    if (!written || !*written)
        return MR_NONE;
    size_t zone = mr_names_get(&st->written, written);
    if (zone != MR_NONE)
        return zone;
    char key[MR_ZONE_KEY_MAX];
    mr_zone_key(written, key);
    zone = mr_names_get(&st->keys, key);
    return zone == MR_ZONE_AMBIGUOUS ? MR_NONE : zone;
}

const char *mr_align_zone_note(struct mr_align_state *st, const char *written, size_t zone) {
    if (zone >= st->out->zones.n || strcmp(written, st->out->zones.v[zone].name) == 0)
        return "";
    size_t kept = mr_names_get(&st->noted, written);
    if (kept != MR_NONE)
        return st->notes.v[kept];
    char key[MR_ZONE_KEY_MAX];
    mr_zone_key(written, key);
    bool alias = mr_names_get(&st->alias_keys, key) == zone;
    const char *note = mr_printf(st->arena, alias ? "alias, written '%s'" : "written '%s'", written);
    mr_names_put(st->arena, &st->noted, written, st->notes.n);
    MR_PUSH(st->arena, &st->notes, note);
    return note;
}
