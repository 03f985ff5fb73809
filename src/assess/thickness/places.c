/*
 * places.c - counts beyond a zone's flat area: for edges, welds, stiffeners, beams and pipes, for each shift, and the
 * pattern of points of the 90-10 rule.
 *
 * The appendices of SSPC-PA 2 lay down counts for beams, edges, pipes and small parts, and its text counts areas for
 * each shift; only the bought text settles them, so the job states the number and the report says so. The pattern of
 * points of IMO MSC.215(82), annex 3, is known: one reading for each 2 to 3 m of edge, sets of readings for each 2 to
 * 3 m of stiffener, three sets for each primary member, one reading on each side of an opening, five for each m2 of
 * complex areas. The lengths and numbers come from the drawing, so the job states them; the fewest readings that the
 * pattern allows (each 3 m) are required.
 *
 * A reading belongs to such a place where its area, its spot or its note says the word: "edge 3", "weld".
 */
#include "assess/thickness/thickness.h"

#include "base/keyfile.h"

#include <math.h>
#include <string.h>

static const struct {
    const char *noun;    /* of one place; the plural takes an s */
    const char *word[4]; /* by which readings name it, folded */
    enum mr_setting_id number;
    enum mr_setting_id size; /* of the pattern of points; MR_SETTING_COUNT: it has none */
    double of;               /* size for which `readings` are taken, canonical unit */
    double readings, least;
    const char *pattern;
} kinds[] = {
    {"edge",
     {"edge", "boundary", "border"},
     MR_DFT_ON_EDGES,
     MR_DFT_EDGE_LENGTH,
     3000,
     1,
     1,
     "one for each 3 m of edge"},
    {"stiffener",
     {"stiffener", "stiff"},
     MR_DFT_ON_STIFFENERS,
     MR_DFT_STIFFENER_LENGTH,
     3000,
     2,
     4,
     "a set of two for each 3 m of stiffener, two sets at least"},
    {"weld", {"weld", "seam"}, MR_DFT_ON_WELDS, MR_SETTING_COUNT, 0, 0, 0, ""},
    {"beam", {"beam", "flange"}, MR_DFT_ON_BEAMS, MR_SETTING_COUNT, 0, 0, 0, ""},
    {"pipe", {"pipe", "tube"}, MR_DFT_ON_PIPES, MR_SETTING_COUNT, 0, 0, 0, ""},
    {"primary member",
     {"primary"},
     MR_SETTING_COUNT,
     MR_DFT_PRIMARY_MEMBERS,
     1,
     9,
     9,
     "three sets of three for each primary member"},
    {"opening",
     {"opening", "cutout", "hole"},
     MR_SETTING_COUNT,
     MR_DFT_OPENINGS,
     1,
     2,
     2,
     "one on each side of an opening"},
    {"complex area",
     {"complex"},
     MR_SETTING_COUNT,
     MR_DFT_COMPLEX_AREA,
     1,
     5,
     3,
     "five for each m2 of complex areas, three at least"},
};

/* Whether a word, or its plural, begins some word of the text: "edge" is in "Edge-3" and in "edges", not in "ledge".
 */
static bool says(struct mr_arena *arena, const char *text, const char *word) {
    const char *folded = mr_fold(arena, text, strlen(text));
    const size_t n = strlen(word);
    for (const char *at = strstr(folded, word); at; at = strstr(at + 1, word)) {
        const char *end = at + n + (at[n] == 's');
        if ((at == folded || at[-1] == ' ') && !(*end >= 'a' && *end <= 'z'))
            return true;
    }
    return false;
}

static bool names(const struct mr_thickness *t, const struct mr_film_reading *r, size_t kind) {
    const struct mr_reading *row = t->a->aligned->readings.v[r->at].reading;
    const char *texts[] = {row->area, row->spot, row->note};
    for (size_t i = 0; i < MR_COUNT(texts); i++)
        for (size_t w = 0; *texts[i] && w < MR_COUNT(kinds[kind].word) && kinds[kind].word[w]; w++)
            if (says(t->a->arena, texts[i], kinds[kind].word[w]))
                return true;
    return false;
}

/* Readings on places of a kind; spots: whole spots instead. */
static size_t taken_on(const struct mr_thickness *t, const struct mr_film *film, size_t kind, bool spots) {
    size_t n = 0;
    for (size_t s = 0; film && s < film->spots.n; s++) {
        const struct mr_film_spot *spot = &film->spots.v[s];
        size_t here = 0;
        for (size_t i = spot->first; i < spot->first + spot->n; i++)
            here += names(t, &film->readings[i], kind) ? mr_film_behind(&film->readings[i]) : 0;
        n += spots ? here >= film->per_spot + spot->doubted : here;
    }
    return n;
}

static bool groups_spots(const struct mr_subject *s) {
    for (size_t i = 0; i < s->rules->n; i++)
        if (s->rules->v[i]->readings_per_spot)
            return true;
    return false;
}

static const struct mr_rule *patterned(const struct mr_subject *s) {
    for (size_t i = 0; i < s->rules->n; i++)
        if (*s->rules->v[i]->pattern_clause)
            return s->rules->v[i];
    return NULL;
}

static const char *titled(struct mr_assess *a, const struct mr_subject *s, const char *title) {
    return s->coat ? mr_printf(a->arena, "%s, coat %d", title, s->coat) : title;
}

/* One check of a count; says what is left where it is short. */
static bool hold(struct mr_thickness *t, const struct mr_subject *s, struct mr_check *c, size_t taken, double need,
                 const char *noun) {
    struct mr_assess *a = t->a;
    const bool enough = (double)taken >= need;
    c->outcome = enough ? MR_CONFORMS : MR_NOT_SHOWN;
    c->measured = (double)taken;
    c->limit_low = need;
    c->title = titled(a, s, c->title);
    c->detail = mr_printf(a->arena, "%s Required: %g. Taken: %zu.", c->detail, need, taken);
    mr_add_check(a, c);
    if (enough)
        return true;
    struct mr_finding f = mr_finding_of(c, "too-few-readings", MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c->detail);
    f.next_step =
        mr_printf(a->arena, "Still to be measured: %s.", mr_count_text(a, (size_t)ceil(need) - taken, noun));
    mr_add_finding(a, &f);
    return false;
}

static struct mr_check count_check(struct mr_thickness *t, const struct mr_subject *s, const char *id,
                                   enum mr_setting_id setting) {
    struct mr_check c = mr_blank_check(id, "", "thickness", s->zone, s->coat);
    const struct mr_setting *set = &s->z->settings->v[setting];
    c.rule = mr_setting_defs[setting].key;
    c.source = mr_source_of(t->a, s->z->settings, setting);
    mr_add_evidence(t->a, &c.evidence, set->place, "as stated");
    return c;
}

/* Numbers that the job states, because only the bought text settles them. */
static bool hold_number(struct mr_thickness *t, const struct mr_subject *s, size_t kind) {
    struct mr_assess *a = t->a;
    const enum mr_setting_id id = kinds[kind].number;
    if (id == MR_SETTING_COUNT || !s->z->settings->v[id].set)
        return true;
    const bool spots = groups_spots(s);
    const struct mr_film *film = s->counting ? &s->counting->film : NULL;
    struct mr_check c = count_check(t, s, "thickness.enough-places", id);
    c.title = mr_printf(a->arena, "Measured on %ss", kinds[kind].noun);
    c.detail = mr_printf(a->arena, "%s on %ss; the job states the number, which the bought text of the rule settles.",
                         spots ? "Spots" : "Readings", kinds[kind].noun);
    return hold(t, s, &c, taken_on(t, film, kind, spots), s->z->settings->v[id].value,
                mr_printf(a->arena, "%s on %ss", spots ? "spot" : "reading", kinds[kind].noun));
}

/* A count of decimal figures: 9.0 m by 3 m is three. */
static double parts_of(double size, double of) {
    return ceil(round(size / of * 1e9) / 1e9);
}

static bool hold_pattern(struct mr_thickness *t, const struct mr_subject *s, const struct mr_rule *rule, size_t kind,
                         size_t *on_places) {
    struct mr_assess *a = t->a;
    const enum mr_setting_id id = kinds[kind].size;
    if (id == MR_SETTING_COUNT || !(s->z->settings->v[id].value > 0))
        return true;
    const size_t taken = taken_on(t, s->counting ? &s->counting->film : NULL, kind, false);
    *on_places += taken;
    struct mr_check c = count_check(t, s, "thickness.enough-pattern", id);
    c.title = mr_printf(a->arena, "Pattern of points: %ss", kinds[kind].noun);
    c.rule = mr_printf(a->arena, "%s, %s", rule->title, kinds[kind].pattern);
    c.source = mr_printf(a->arena, "%s, %s", rule->source, rule->pattern_clause);
    c.detail = mr_printf(a->arena, "Readings on %ss.", kinds[kind].noun);
    double need =
        fmax(kinds[kind].least, kinds[kind].readings * parts_of(s->z->settings->v[id].value, kinds[kind].of));
    return hold(t, s, &c, taken, need, mr_printf(a->arena, "reading on %ss", kinds[kind].noun));
}

/* What lies on edges and the like does not stand for the flat area. */
static bool hold_flat(struct mr_thickness *t, const struct mr_subject *s, const struct mr_rule *rule,
                      size_t on_places) {
    struct mr_need need = mr_rule_need(rule, s->z->area_m2, s->us, 1, 1);
    if (!need.known || !s->counting)
        return true; /* told by the check of the rule's own number */
    struct mr_need taken = mr_rule_taken(&s->counting->film, rule);
    struct mr_check c =
        mr_blank_check("thickness.enough-pattern", "Pattern of points: flat area", "thickness", s->zone, s->coat);
    c.rule = mr_printf(t->a->arena, "%s, flat area", rule->title);
    c.source = mr_printf(t->a->arena, "%s, %s", rule->source, rule->sampling_clause);
    c.detail = "Readings elsewhere than on the places that the job states.";
    mr_add_evidence(t->a, &c.evidence, s->z->place, "zone register");
    return hold(t, s, &c, taken.readings > on_places ? taken.readings - on_places : 0, (double)need.readings,
                "reading on the flat area");
}

/* The pattern is a count only where the job states what the drawing shows; else the report says what is missing. */
static bool hold_patterns(struct mr_thickness *t, const struct mr_subject *s) {
    const struct mr_rule *rule = patterned(s);
    size_t on_places = 0, stated = 0;
    bool all = true;
    for (size_t k = 0; rule && k < MR_COUNT(kinds); k++) {
        stated += kinds[k].size != MR_SETTING_COUNT && s->z->settings->v[kinds[k].size].set;
        all = hold_pattern(t, s, rule, k, &on_places) && all;
    }
    if (stated)
        return hold_flat(t, s, rule, on_places) && all;
    return all;
}

/* Shifts in which the film that is judged was sprayed last. */
static size_t shifts_of(const struct mr_thickness *t, const struct mr_subject *s) {
    const struct mr_alignment *al = t->a->aligned;
    size_t n = 0, last = MR_NONE;
    for (size_t i = 0; i < al->windows.n; i++) { /* in order of time */
        const struct mr_window *w = &al->windows.v[i];
        if (w->zone != s->zone || (s->coat ? w->coat != s->coat : w->coat < s->z->coats) || w->shift == last)
            continue;
        last = w->shift;
        n++;
    }
    return n;
}

static bool hold_shifts(struct mr_thickness *t, const struct mr_subject *s) {
    const struct mr_setting *set = &s->z->settings->v[MR_DFT_PER_SHIFT];
    if (!set->set)
        return true;
    const size_t shifts = shifts_of(t, s), n = shifts ? shifts : 1;
    struct mr_check c = count_check(t, s, "thickness.enough-shifts", MR_DFT_PER_SHIFT);
    c.title = "Measured for each shift";
    c.detail = mr_printf(t->a->arena,
                         "Areas for %s of this film, %g each; which shift's film an area lies on is not in the data, "
                         "and the job states the number, which the bought text of the rule settles.",
                         mr_count_text(t->a, n, "shift"), set->value);
    return hold(t, s, &c, mr_stated_taken(s->counting ? &s->counting->film : NULL, true), set->value * (double)n,
                "area");
}

bool mr_places_hold(struct mr_thickness *t, const struct mr_subject *s) {
    bool all = hold_shifts(t, s);
    for (size_t k = 0; k < MR_COUNT(kinds); k++)
        all = hold_number(t, s, k) && all;
    return hold_patterns(t, s) && all;
}
