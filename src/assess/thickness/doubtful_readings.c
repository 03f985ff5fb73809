/*
 * doubtful_readings.c - readings that may be of another place than they say, or of one that they do not say.
 *
 * Areas whose readings are those of another area, one by one: typed or pasted twice, or one memory under two names.
 * That it is no chance is reckoned from how often neighbouring readings of the job agree; the second area is then not
 * shown to have been measured.
 *
 * Readings that stand in two files, under an alias or with and without a serial, count once: twice, they would make
 * up for readings that were never taken.
 *
 * Readings that name no zone, and that nothing else placed in one, may be of any zone. What they show beyond its
 * limits leaves it open; what holds the limits takes nothing back, and proves nothing.
 */
#include "assess/finding/line_ranges.h"
#include "assess/thickness/thickness.h"

#include "base/text.h"
#include "numeric/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FEWEST = 6, NEIGHBOURS = 5 };

static const double chance_most = 1e-6; /* of any pair in the job; project decision */

/* The readings of one area in one survey, in their order. */
struct measured_area {
    size_t zone, survey;
    const char *name;
    mr_index_list at; /* into the alignment's readings */
    uint64_t hash;
};

typedef MR_VEC(struct measured_area) measured_areas;

static double film_um(const struct mr_alignment *al, size_t at) {
    return al->readings.v[at].reading->film_um;
}

static bool agree(const struct mr_alignment *al, size_t i, size_t k) {
    const double x = film_um(al, i), y = film_um(al, k);
    return !(x < y) && !(x > y);
}

static struct measured_area *area_of(struct mr_thickness *t, measured_areas *list, const struct mr_placed *p) {
    const char *name = mr_area_id(mr_work(t->a), p->reading->area);
    for (size_t i = list->n; i-- > 0 && list->v[i].zone == p->zone;)
        if (list->v[i].survey == p->survey && strcmp(list->v[i].name, name) == 0)
            return &list->v[i];
    struct measured_area area = {.zone = p->zone, .survey = p->survey, .name = name};
    MR_PUSH(mr_work(t->a), list, area);
    return &list->v[list->n - 1];
}

static uint64_t hash_of(const struct mr_alignment *al, const mr_index_list *at) {
    uint64_t h = MR_HASH_SEED;
    for (size_t i = 0; i < at->n; i++) {
        const double x = film_um(al, at->v[i]);
        h = mr_hash(h, &x, sizeof x);
    }
    return h;
}

static bool same_readings(const struct mr_alignment *al, const struct measured_area *a,
                          const struct measured_area *b) {
    if (a->at.n != b->at.n || a->hash != b->hash)
        return false;
    for (size_t i = 0; i < a->at.n; i++)
        if (!agree(al, a->at.v[i], b->at.v[i]))
            return false;
    return true;
}

static int by_hash(const void *a, const void *b) {
    const struct measured_area *x = *(const struct measured_area *const *)a,
                               *y = *(const struct measured_area *const *)b;
    const int order = MR_ORDER(x->hash, y->hash);
    return order ? order : MR_ORDER(x, y); /* both lie in one array: the order of zones and areas */
}

/* How likely two readings that have nothing to do with each other agree: as often as neighbours do. */
static double agreement(const struct mr_alignment *al, const measured_areas *list) {
    size_t pairs = 1, equal = 1;
    for (size_t i = 0; i < list->n; i++)
        for (size_t k = 1; k < list->v[i].at.n; k++)
            for (size_t lag = 1; lag <= NEIGHBOURS && lag <= k; lag++, pairs++)
                equal += agree(al, list->v[i].at.v[k], list->v[i].at.v[k - lag]);
    return (double)equal / (double)pairs;
}

static void tell(struct mr_assess *a, const struct measured_area *first, const struct measured_area *again) {
    const struct mr_alignment *al = a->aligned;
    struct mr_finding f = mr_blank_finding("copied-readings", MR_WARNING, again->zone, 0);
    const char *other =
        first->zone == again->zone ? "" : mr_printf(a->arena, " of zone %s", al->zones.v[first->zone].name);
    f.what = mr_printf(a->arena, "Zone %s: the %zu readings of area %s are those of area %s%s, one by one.",
                       al->zones.v[again->zone].name, again->at.n, *again->name ? again->name : "(no name)",
                       *first->name ? first->name : "(no name)", other);
    f.measured = (double)again->at.n;
    f.rule = "readings of two areas differ as independent readings do";
    f.source = MR_SRC_PD;
    f.next_step = "Compare both with the memory of the gauge; if one is a copy, take it out and measure that area.";
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, again->at.n);
    const struct measured_area *both[] = {first, again};
    for (size_t k = 0; k < MR_COUNT(both); k++) {
        for (size_t i = 0; i < both[k]->at.n; i++) {
            const struct mr_reading *r = al->readings.v[both[k]->at.v[i]].reading;
            lines[i] = (struct mr_line){r->file, r->line};
        }
        mr_add_lines(a, &f.evidence, lines, both[k]->at.n, 4, k ? "the same readings" : "readings");
    }
    mr_add_finding(a, &f);
    struct mr_check c =
        mr_blank_check("thickness.copied", "Readings of its own in each area", "thickness", again->zone, 0);
    c.outcome = MR_NOT_SHOWN;
    c.measured = f.measured;
    c.rule = f.rule;
    c.source = f.source;
    c.detail = f.what;
    c.evidence = f.evidence;
    mr_add_check(a, &c);
}

void mr_find_copied_readings(struct mr_thickness *t, const mr_index_list *of_zone) {
    const struct mr_alignment *al = t->a->aligned;
    measured_areas list = {0};
    for (size_t zone = 0; zone < al->zones.n; zone++)
        for (size_t i = 0; i < of_zone[zone].n; i++) {
            struct measured_area *area = area_of(t, &list, &al->readings.v[of_zone[zone].v[i]]);
            MR_PUSH(mr_work(t->a), &area->at, of_zone[zone].v[i]);
        }
    for (size_t i = 0; i < list.n; i++)
        list.v[i].hash = hash_of(al, &list.v[i].at);
    const struct measured_area **v = MR_ARRAY(mr_work(t->a), const struct measured_area *, list.n);
    for (size_t i = 0; i < list.n; i++)
        v[i] = &list.v[i];
    qsort(v, list.n, sizeof *v, by_hash);
    const double likely = agreement(al, &list), pairs = 0.5 * (double)list.n * (double)list.n;
    for (size_t i = 1, first = 0; i < list.n; i++) {
        const size_t n = v[i]->at.n;
        if (!same_readings(al, v[first], v[i]))
            first = i;
        else if (n >= FEWEST && pairs * pow(likely, (double)n) <= chance_most)
            tell(t->a, v[first], v[i]);
    }
}

/* ---- readings without a zone ---- */

static bool goes_on(const struct mr_placed *before, const struct mr_placed *p) {
    return before->reading->file == p->reading->file && strcmp(before->reading->area, p->reading->area) == 0;
}

static int64_t quanta_of(const struct mr_reading *r) {
    int64_t quanta = 0;
    if (!mr_film_quanta(r->written, r->unit, &quanta) && !mr_film_quanta(r->film_um, MR_UNIT_UM, &quanta))
        return 0;
    return quanta;
}

/* Whether a limit of that kind, or of single readings, is missed. */
static bool beyond(const struct mr_subject *s, enum mr_rule_value kind, struct mr_ratio value) {
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++) {
            const struct mr_rule_limit *limit = &s->rules->v[r]->limits.v[i];
            const bool single = kind == MR_RULE_SPOT && limit->value == MR_RULE_READING;
            if ((limit->value == kind || single) && mr_rule_raw_beyond(limit, &s->limits, value))
                return true;
        }
    return false;
}

/* Film is measured after it was sprayed: a reading from before the zone's first coat is not of it. */
static bool may_be_of(const struct mr_alignment *al, size_t zone, const struct mr_placed *p) {
    int64_t first = MR_T_NONE;
    for (size_t i = 0; i < al->windows.n; i++)
        if (al->windows.v[i].zone == zone && (first == MR_T_NONE || al->windows.v[i].t0_utc_ms < first))
            first = al->windows.v[i].t0_utc_ms;
    return first == MR_T_NONE || p->t_utc_ms == MR_T_NONE || p->t_utc_ms >= first;
}

/* A reading by itself may be of any spot; the mean of a run stands for its area, or for all of them. */
static bool run_beyond(const struct mr_subject *s, const struct mr_placed *const *p, size_t n) {
    mr_wide sum = 0;
    for (size_t i = 0; i < n; i++) {
        const int64_t quanta = quanta_of(p[i]->reading);
        if (beyond(s, MR_RULE_SPOT, mr_ratio_of(quanta, 1)))
            return true;
        sum += quanta;
    }
    return beyond(s, MR_RULE_AREA, mr_ratio_of(sum, (mr_wide)n)) ||
           beyond(s, MR_RULE_MEAN, mr_ratio_of(sum, (mr_wide)n));
}

static void say(struct mr_assess *a, const struct mr_subject *s, struct mr_line *lines, size_t n) {
    struct mr_check c = mr_blank_check("thickness.no-zone", "Readings without a zone", "thickness", s->zone, s->coat);
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "every reading that may be of the zone names it";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena, "%s without a zone, which would miss a limit here, may be of it.",
                         mr_count_text(a, n, "reading"));
    mr_add_lines(a, &c.evidence, lines, n, 6, "no zone");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "readings-without-zone", MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail);
    f.next_step =
        "Write the zone into these rows, or state the zone of the file in its [file] section: `zone = NAME`.";
    mr_add_finding(a, &f);
}

void mr_unplaced_check(struct mr_thickness *t, const struct mr_subject *s) {
    const struct mr_alignment *al = t->a->aligned;
    const size_t n = t->unplaced.n;
    if (!n || !s->counting || s->coat)
        return;
    enum { LINES_MOST = 200 };
    struct mr_line *lines = MR_ARRAY(mr_work(t->a), struct mr_line, LINES_MOST);
    size_t n_lines = 0;
    for (size_t i = 0, end; i < n && n_lines < LINES_MOST; i = end) {
        for (end = i + 1; end < n && goes_on(t->unplaced.v[end - 1], t->unplaced.v[end]);)
            end++;
        if (!run_beyond(s, t->unplaced.v + i, end - i))
            continue;
        for (size_t k = i; k < end && n_lines < LINES_MOST; k++)
            if (may_be_of(al, s->zone, t->unplaced.v[k]))
                lines[n_lines++] = (struct mr_line){t->unplaced.v[k]->reading->file, t->unplaced.v[k]->reading->line};
    }
    if (n_lines)
        say(t->a, s, lines, n_lines);
}

/* ---- one memory in two files ---- */

enum { COPIED_FEWEST = 12 }; /* readings that agree by no chance, each at its spot */

/* A reading by its place. */
struct placed_reading {
    const char *area, *spot; /* ids */
    uint32_t file;
    int64_t quanta;
    size_t nth; /* in the zone's list */
    uint32_t line;
    const char *serial;
};

static int by_place(const void *a, const void *b) {
    const struct placed_reading *x = a, *y = b;
    int order = MR_ORDER(x->file, y->file);
    order = order ? order : strcmp(x->area, y->area);
    order = order ? order : strcmp(x->spot, y->spot);
    return order ? order : MR_ORDER(x->quanta, y->quanta);
}

static bool same_spot(const struct placed_reading *a, const struct placed_reading *b) {
    return strcmp(a->area, b->area) == 0 && strcmp(a->spot, b->spot) == 0;
}

/* Readings [from, to) of one file. */
struct file_run {
    size_t from, to;
};

/* Whether every reading of the one run stands in the other, spot by spot, and there are enough of them; two gauges
 * that both have serials are two. What was found at the same moment is gone from one of the files already. */
static bool repeats(const struct placed_reading *r, struct file_run of, struct file_run in) {
    if (of.to - of.from < COPIED_FEWEST || of.to - of.from > in.to - in.from ||
        (*r[of.from].serial && *r[in.from].serial && strcmp(r[of.from].serial, r[in.from].serial) != 0))
        return false;
    size_t k = in.from;
    for (size_t i = of.from; i < of.to; i++, k++) {
        while (k < in.to && !(same_spot(&r[k], &r[i]) && r[k].quanta == r[i].quanta))
            k++;
        if (k >= in.to)
            return false;
    }
    return true;
}

static void tell_copy(struct mr_assess *a, size_t zone, const struct placed_reading *copy, size_t n,
                      const struct placed_reading *first) {
    const struct mr_data *data = a->aligned->data;
    struct mr_finding f = mr_blank_finding("readings-twice", MR_WARNING, zone, 0);
    f.measured = (double)n;
    f.rule = "a reading counts once, in however many files it stands";
    f.source = MR_SRC_PD;
    f.what = mr_printf(a->arena, "Zone %s: %s of %s are those of %s, spot by spot; they count once.",
                       a->aligned->zones.v[zone].name, mr_count_text(a, n, "reading"),
                       data->files.v[copy->file].source->path, data->files.v[first->file].source->path);
    f.next_step =
        "Take one of the files out of the folder; if both were measured, export them with the gauges' serials.";
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, n);
    for (size_t i = 0; i < n; i++)
        lines[i] = (struct mr_line){copy[i].file, copy[i].line};
    mr_add_lines(a, &f.evidence, lines, n, 6, "counted once");
    mr_add_finding(a, &f);
}

static bool of_several_files(const struct mr_alignment *al, const mr_index_list *at) {
    for (size_t i = 1; i < at->n; i++)
        if (al->readings.v[at->v[i]].reading->file != al->readings.v[at->v[0]].reading->file)
            return true;
    return false;
}

/* The readings of a zone by file and place; returns how many. */
static size_t by_files(struct mr_thickness *t, const mr_index_list *at, struct placed_reading *r) {
    for (size_t i = 0; i < at->n; i++) {
        const struct mr_reading *own = t->a->aligned->readings.v[at->v[i]].reading;
        r[i] = (struct placed_reading){mr_area_id(t->a->arena, own->area),
                                       mr_area_id(t->a->arena, own->spot),
                                       own->file,
                                       quanta_of(own),
                                       i,
                                       own->line,
                                       own->serial ? own->serial : ""};
    }
    qsort(r, at->n, sizeof *r, by_place);
    return at->n;
}

void mr_drop_copies(struct mr_thickness *t, size_t zone, mr_index_list *at) {
    if (!of_several_files(t->a->aligned, at))
        return;
    struct placed_reading *r = MR_ARRAY(t->a->arena, struct placed_reading, at->n);
    const size_t n = by_files(t, at, r);
    MR_VEC(struct file_run) runs = {0};
    for (size_t i = 0, end; i < n; i = end) {
        for (end = i + 1; end < n && r[end].file == r[i].file;)
            end++;
        MR_PUSH(t->a->arena, &runs, ((struct file_run){i, end}));
    }
    bool *gone = MR_ARRAY(t->a->arena, bool, n);
    size_t dropped = 0;
    for (size_t i = 0; i < runs.n; i++)
        for (size_t k = 0; k < runs.n; k++) {
            const size_t own = runs.v[i].to - runs.v[i].from, other = runs.v[k].to - runs.v[k].from;
            if (i == k || gone[r[runs.v[i].from].nth] || gone[r[runs.v[k].from].nth] || (own == other && i < k) ||
                !repeats(r, runs.v[i], runs.v[k]))
                continue;
            tell_copy(t->a, zone, &r[runs.v[i].from], own, &r[runs.v[k].from]);
            for (size_t j = runs.v[i].from; j < runs.v[i].to; j++)
                gone[r[j].nth] = true;
            dropped += own;
        }
    size_t kept = 0;
    for (size_t i = 0; i < at->n; i++)
        if (!gone[i])
            at->v[kept++] = at->v[i];
    at->n = dropped ? kept : at->n;
}
