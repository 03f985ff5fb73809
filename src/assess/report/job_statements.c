/*
 * job_statements.c - what the job states must hold together: rows of the register that contradict each other, a film
 * limited only from above, coats on days that are none of the job's. Whatever such a statement would show is not
 * shown.
 */
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"

#include <math.h>
#include <string.h>

static struct mr_check doubt_of(size_t zone, const char *id, const char *title, const char *group, const char *rule) {
    struct mr_check c = mr_blank_check(id, title, group, zone, 0);
    c.outcome = MR_NOT_SHOWN;
    c.rule = rule;
    c.source = MR_SRC_PD;
    return c;
}

static void add_doubt(struct mr_assess *a, struct mr_check *c, struct mr_place place, const char *finding,
                      const char *next_step) {
    mr_add_evidence(a, &c->evidence, place, "stated here");
    mr_add_check(a, c);
    struct mr_finding f = mr_finding_of(c, finding, MR_WARNING);
    f.what = mr_printf(a->arena, "Zone %s: %s", a->aligned->zones.v[c->zone].name, c->detail);
    f.next_step = next_step;
    mr_add_finding(a, &f);
}

static void judge_register(struct mr_assess *a, size_t zone) {
    const struct mr_zone *z = &a->aligned->zones.v[zone];
    if (z->also) {
        struct mr_check c = doubt_of(zone, "history.names-alike", "Name of the zone", "history",
                                     "names of zones differ in letters or figures");
        c.detail = mr_printf(a->arena,
                             "No row of a file can be told to be of \"%s\" or of \"%s\": their names in the "
                             "register, or an alias, read alike.",
                             z->name, z->also);
        add_doubt(a, &c, z->place, "zone-names-alike",
                  "Name one of them by letters or figures of its own, in the register and in every file.");
    }
    if (!z->contradicted)
        return;
    struct mr_check c = doubt_of(zone, "history.register", "Zone register", "history",
                                 "rows of the register for one zone say the same of it");
    c.detail = "The register has several rows for it, and they differ.";
    add_doubt(a, &c, z->place, "register-contradicts", "Keep one row for the zone in the register.");
}

/* Where the job has limits by specification, one that it does not know may be a slip of the pen for one of them. */
static void judge_specification(struct mr_assess *a, size_t zone) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_zone *z = &al->zones.v[zone];
    const char *names = "";
    for (size_t i = 0; i < a->job->specs.n; i++)
        names = mr_printf(a->arena, "%s%s\"%s\"", names, i ? ", " : "", a->job->specs.v[i].spec);
    for (size_t i = 0; i < al->data->zones.n && a->job->specs.n; i++) {
        const struct mr_zone_row *r = &al->data->zones.v[i];
        if (!r->spec || !*r->spec || mr_job_spec(a->job, r->spec) || mr_zone_find(al, r->name, NULL) != zone)
            continue;
        struct mr_check c = doubt_of(zone, "history.specification", "Specification of the zone", "history",
                                     "the job file has limits for the specification that the register names");
        c.detail = mr_printf(a->arena, "The register names the specification \"%s\"; the job file knows %s.", r->spec,
                             names);
        add_doubt(a, &c, z->place, "unknown-specification",
                  "Correct the name in the register, or give its limits in the job file.");
        return;
    }
}

static bool register_has_specifications(const struct mr_data *data) {
    for (size_t i = 0; i < data->files.n; i++)
        for (size_t k = 0; k < data->files.v[i].n_columns; k++)
            if (data->files.v[i].columns[k].meaning == MR_M_SPEC)
                return true;
    return false;
}

/* The job names limits by specification, and the register has no column for them: which one a zone has was left out.
 * A blank cell in that column says that the zone has none of its own. */
static void judge_unused_specs(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    const char *names = "";
    if (register_has_specifications(al->data))
        return;
    for (size_t i = 0; i < a->job->specs.n; i++)
        names = mr_printf(a->arena, "%s%s\"%s\"", names, i ? ", " : "", a->job->specs.v[i].spec);
    for (size_t zone = 0; zone < al->zones.n && a->job->specs.n; zone++) {
        struct mr_check c = doubt_of(zone, "history.specification", "Specification of the zone", "history",
                                     "where the job has limits by specification, the register names them");
        c.detail =
            mr_printf(a->arena, "The job file has limits for %s, and the register names no specification.", names);
        add_doubt(a, &c, al->zones.v[zone].place, "unused-specification",
                  "Name the specification of each zone in the register; or take these sections out of the job file.");
    }
}

/* The register names several, and the job has one set of limits for all: told, for they may well be the same. */
static void tell_one_limit(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_zone_row *first = NULL, *other = NULL;
    for (size_t i = 0; i < al->data->zones.n && !a->job->specs.n && !other; i++) {
        const struct mr_zone_row *r = &al->data->zones.v[i];
        if (r->spec && *r->spec && first &&
            strcmp(mr_folded_name(a->arena, r->spec), mr_folded_name(a->arena, first->spec)) != 0)
            other = r;
        else if (r->spec && *r->spec)
            first = first ? first : r;
    }
    if (!other)
        return;
    struct mr_finding f = mr_blank_finding("one-limit-for-specifications", MR_WARNING, MR_NONE, 0);
    f.what = mr_printf(a->arena,
                       "The register names several specifications, such as \"%s\" and \"%s\"; all zones were judged "
                       "by the same limits.",
                       first->spec, other->spec);
    f.rule = "limits belong to a specification";
    f.source = MR_SRC_PD;
    f.next_step = mr_printf(
        a->arena, "If their limits differ, state them in the job file, under [thickness \"%s\"] and its like.",
        other->spec);
    mr_add_evidence(a, &f.evidence, mr_line_place(a, first->file, first->line), "one specification");
    mr_add_evidence(a, &f.evidence, mr_line_place(a, other->file, other->line), "another");
    mr_add_finding(a, &f);
}

/* "register: at least 300 um, job: 200 um"; NULL where the job asks no less than the register does. */
static const char *film_limits_differ(struct mr_assess *a, const struct mr_zone_row *r,
                                      const struct mr_settings *set) {
    enum { ROUNDING_UM = 1 };
    const enum mr_unit unit = a->job->display.film;
    const struct mr_setting *low = &set->v[MR_DFT_MIN], *high = &set->v[MR_DFT_MAX];
    const bool less = r->least_film_um > 0 && (!low->set || r->least_film_um > low->value + ROUNDING_UM);
    const bool more = r->most_film_um > 0 && (!high->set || r->most_film_um < high->value - ROUNDING_UM);
    if (r->film_unread)
        return "The register states a limit of the film that cannot be read; it may lack its unit.";
    if (!less && !more)
        return NULL;
    const struct mr_setting *other = less ? low : high;
    return mr_printf(a->arena, "The register asks for %s %s, the job file for %s.", less ? "at least" : "at most",
                     mr_value_text(a, mr_from_canonical(unit, less ? r->least_film_um : r->most_film_um), unit, -1),
                     other->set ? mr_value_text(a, mr_from_canonical(unit, other->value), unit, -1) : "none");
}

static void judge_register_film(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->data->zones.n; i++) {
        const struct mr_zone_row *r = &al->data->zones.v[i];
        if (isnan(r->least_film_um) && isnan(r->most_film_um) && !r->film_unread)
            continue; /* finding a zone takes time, and most registers state no limit */
        const size_t zone = mr_zone_find(al, r->name, NULL);
        const char *differ = zone < al->zones.n ? film_limits_differ(a, r, al->zones.v[zone].settings) : NULL;
        if (!differ)
            continue;
        struct mr_check c = doubt_of(zone, "history.film-limit", "Limits of the film", "history",
                                     "the job file asks no less of the film than the register does");
        c.detail = differ;
        add_doubt(a, &c, al->zones.v[zone].place, "film-limits-differ",
                  "State the limit in force under [thickness] of the job file, or correct the register.");
    }
}

/* A column of the register, or a note, that asks what no setting holds. */
static void judge_register_asks(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->data->zones.n; i++) {
        const struct mr_zone_row *r = &al->data->zones.v[i];
        const size_t zone = r->asks ? mr_zone_find(al, r->name, NULL) : MR_NONE;
        if (zone >= al->zones.n)
            continue;
        struct mr_check c = doubt_of(zone, "history.requirement", "Requirements of the register", "history",
                                     "what the register asks of a zone is stated in the job file");
        c.detail = mr_printf(a->arena, "The register says \"%s\", which is not read.", r->asks);
        add_doubt(a, &c, al->zones.v[zone].place, "register-requires",
                  mr_printf(a->arena,
                            "State the limit in the job file if it is one, for its specification; then add %s.",
                            r->asks_key));
    }
}

/* A system's film needs a least thickness before any can be enough; a limit for each coat is one too. */
static void judge_minimum(struct mr_assess *a, size_t zone) {
    const struct mr_zone *z = &a->aligned->zones.v[zone];
    const struct mr_setting *low = &z->settings->v[MR_DFT_MIN], *coat = &z->settings->v[MR_DFT_COAT_MIN];
    const bool least = low->set || low->from_job || coat->set; /* "none" is a statement too */
    const bool limited = z->settings->v[MR_DFT_MAX].set || z->settings->v[MR_DFT_RULES].from_job;
    if (least)
        return;
    struct mr_check c = doubt_of(zone, "thickness.minimum-stated", "Minimum film thickness stated", "thickness",
                                 "the specified minimum dry film thickness is stated");
    c.detail = limited ? "The job file states rules or a maximum for the film, but no minimum."
                       : "The job file states no minimum for the film.";
    add_doubt(a, &c, z->place, "no-minimum",
              "State the specified minimum in the job file, under [thickness]; or minimum = none if the film is not "
              "judged here.");
}

/* "1 of 2", "2/3": how many coats the log counts; 0 where it does not. */
static int coats_counted(const char *text) {
    static const char *const words[] = {"of", "/", "von", "de", "out of", "av", "van", "di"};
    const char *p = text + strcspn(text, "0123456789");
    p += strspn(p, "0123456789");
    p += strspn(p, " ");
    for (size_t i = 0; i < MR_COUNT(words); i++) {
        const size_t n = strlen(words[i]);
        if (strncmp(p, words[i], n) != 0)
            continue;
        const char *number = p + n + strspn(p + n, " ");
        const size_t digits = strspn(number, "0123456789");
        if (digits == 1 || digits == 2)
            return digits == 1 ? number[0] - '0' : 10 * (number[0] - '0') + number[1] - '0';
    }
    return 0;
}

/* A coat that the log counts and the register does not was not judged. */
static void judge_coats(struct mr_assess *a, size_t zone) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_zone *z = &al->zones.v[zone];
    const struct mr_chains *windows = mr_windows_by_zone(a);
    for (size_t i = mr_chains_first(windows, zone); i != MR_NONE; i = windows->next[i]) {
        const struct mr_window *w = &al->windows.v[i];
        const int counted = w->log && w->log->coat ? coats_counted(w->log->coat) : 0;
        if (counted <= z->coats)
            continue;
        struct mr_check c = doubt_of(zone, "history.coats", "Number of coats", "history",
                                     "register and spray log count the same coats");
        c.detail = mr_printf(a->arena, "The spray log has \"%s\", the register %d coat%s.", w->log->coat, z->coats,
                             z->coats == 1 ? "" : "s");
        add_doubt(a, &c, w->place, "coats-contradict", "Correct the number of coats in the register, or the log.");
        return;
    }
}

/* Coats 1 and 3: the one between was sprayed all the same, and nothing of it was judged. */
static void judge_missing_coats(struct mr_assess *a) {
    enum { COATS_MOST = 63 };
    const struct mr_alignment *al = a->aligned;
    uint64_t *seen = MR_ARRAY(a->arena, uint64_t, al->zones.n + 1); /* a bit for each coat */
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->zone < al->zones.n && w->coat >= 1 && w->coat <= COATS_MOST)
            seen[w->zone] |= UINT64_C(1) << w->coat;
    }
    for (size_t zone = 0; zone < al->zones.n; zone++) {
        int missing = 1, last = COATS_MOST;
        while (seen[zone] >> missing & 1)
            missing++;
        if (!(seen[zone] >> missing))
            continue;
        while (!(seen[zone] >> last & 1))
            last--;
        struct mr_check c = doubt_of(zone, "history.coats-missing", "Coats in the spray log", "history",
                                     "the spray log holds every coat up to the last");
        c.detail = mr_printf(a->arena, "The spray log has coat %d, but no coat %d.", last, missing);
        add_doubt(a, &c, al->zones.v[zone].place, "coat-missing",
                  "Add the missing coat to the spray log, or correct the numbers of its coats.");
    }
}

/* What a sprayer wrote beside a coat may bear on it; no rule can judge words, so a person reads them. */
static void tell_remarks(struct mr_assess *a, size_t zone) {
    const struct mr_alignment *al = a->aligned;
    struct mr_finding f = mr_blank_finding("coat-remarks", MR_NOTE, zone, 0);
    const char *list = "";
    const struct mr_chains *windows = mr_windows_by_zone(a);
    for (size_t i = mr_chains_first(windows, zone); i != MR_NONE; i = windows->next[i]) {
        const struct mr_window *w = &al->windows.v[i];
        if (!w->log || !w->log->note || !*w->log->note)
            continue;
        list = mr_printf(a->arena, "%s%scoat %d, \"%s\"", list, *list ? "; " : "", w->coat,
                         mr_clean_text(a->arena, w->log->note, strlen(w->log->note), 80));
        mr_add_evidence(a, &f.evidence, w->place, "the remark");
    }
    if (!*list)
        return;
    f.what = mr_printf(a->arena, "Zone %s: the spray log remarks on %s.", al->zones.v[zone].name, list);
    f.rule = "remarks on coats are read by a person";
    f.source = MR_SRC_PD;
    f.next_step = "Read the remark. If it bears on the film, measure there and say in the job file what was done.";
    mr_add_finding(a, &f);
}

/* The job's dates are midnights of the site; a zone's clock is at most 14 h from UTC. A survey may follow later. */
static bool is_outside(const struct mr_job *job, int64_t t_utc_ms) {
    return t_utc_ms < job->first_day_local_ms - MR_DAY_MS || t_utc_ms >= job->last_day_local_ms + 2 * MR_DAY_MS;
}

/* Told once for each zone. */
static void judge_dates(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    if (a->job->first_day_local_ms == MR_T_NONE || a->job->last_day_local_ms == MR_T_NONE)
        return;
    bool *told = MR_ARRAY(a->arena, bool, al->zones.n + 1);
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->zone >= al->zones.n || w->found || told[w->zone] || w->t0_utc_ms == MR_T_NONE ||
            !is_outside(a->job, w->t0_utc_ms))
            continue;
        told[w->zone] = true;
        struct mr_check c = doubt_of(w->zone, "history.dates", "Days of the job", "history",
                                     "coats were sprayed on the days of the job");
        c.detail = mr_printf(a->arena, "Coat %d was sprayed on %s, outside the dates of the job.", w->coat,
                             mr_moment_text(a, w->t0_utc_ms));
        add_doubt(a, &c, w->place, "outside-dates",
                  "Correct the date in the spray log, or the dates in the job file; take out files of another job.");
    }
}

void mr_assess_statements(struct mr_assess *a) {
    for (size_t zone = 0; zone < a->aligned->zones.n; zone++) {
        judge_register(a, zone);
        judge_minimum(a, zone);
        judge_specification(a, zone);
        judge_coats(a, zone);
        tell_remarks(a, zone);
    }
    judge_missing_coats(a);
    judge_dates(a);
    judge_unused_specs(a);
    judge_register_film(a);
    judge_register_asks(a);
    tell_one_limit(a);
}
