/*
 * job_statements.c - what the job states must hold together: rows of the register that contradict each other, a film
 * limited only from above, coats on days that are none of the job's. Whatever such a statement would show is not
 * shown.
 */
#include "assess/finding/finding_text.h"

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
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        const int counted = w->zone == zone && w->log && w->log->coat ? coats_counted(w->log->coat) : 0;
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

/* What a sprayer wrote beside a coat may bear on it; no rule can judge words, so a person reads them. */
static void tell_remarks(struct mr_assess *a, size_t zone) {
    const struct mr_alignment *al = a->aligned;
    struct mr_finding f = mr_blank_finding("coat-remarks", MR_NOTE, zone, 0);
    const char *list = "";
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->zone != zone || !w->log || !w->log->note || !*w->log->note)
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
    enum { DAY_MS = 86400000 };
    return t_utc_ms < job->first_day_local_ms - DAY_MS || t_utc_ms >= job->last_day_local_ms + 2 * (int64_t)DAY_MS;
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
    judge_dates(a);
}
