/*
 * series_csv.c - see series_csv.h. Twenty million rows may pass here: what stays the same from row to row (zones,
 * file, date) is put into words once, and numbers are written as whole thousand-millionths.
 */
#include "render/data/series_csv.h"

#include "base/text.h"
#include "render/data/csv_text.h"
#include "render/plot/chart_list.h"

#include <errno.h>
#include <math.h>
#include <string.h>

enum { FLUSH_BYTES = 1 << 16, MINUTE_MS = 60000 };

/* --- which files --------------------------------------------------------------------------------------- */

static bool share_rows(const struct mr_track *a, const struct mr_track *b) {
    return a->clock == b->clock && a->n == b->n && mr_same_column(&a->t_utc_ms, &b->t_utc_ms) &&
           mr_same_column(&a->line, &b->line) && mr_same_column(&a->file, &b->file) && a->file0 == b->file0;
}

/* Tracks of an instrument stand together. */
static void gather(const struct mr_alignment *al, size_t first, bool *done, struct mr_series_file *out,
                   struct mr_arena *arena) {
    const struct mr_track *own = &al->tracks.v[first];
    for (size_t k = first; k < al->tracks.n && !strcmp(al->tracks.v[k].instrument, own->instrument); k++)
        if (!done[k] && share_rows(own, &al->tracks.v[k])) {
            done[k] = true;
            MR_PUSH(arena, &out->tracks, &al->tracks.v[k]);
        }
}

/* A channel that shares its rows with none bears its name too. */
static const char *free_name(struct mr_arena *arena, const mr_series_list *list, const struct mr_series_file *s) {
    const struct mr_track *t = s->tracks.v[0];
    const char *instrument = *t->instrument ? t->instrument : "log",
               *own =
                   s->tracks.n > 1 || !*t->channel ? instrument : mr_printf(arena, "%s %s", instrument, t->channel),
               *stem = mr_slug(arena, own), *name = mr_printf(arena, "series/%s.csv", stem);
    for (size_t n = 2, i = 0; i < list->n; i++)
        if (!strcmp(list->v[i].name, name)) {
            name = mr_printf(arena, "series/%s-%zu.csv", stem, n++);
            i = MR_NONE; /* from the first again */
        }
    return name;
}

mr_series_list mr_series_of(const struct mr_outline *o, size_t rows_most) {
    const struct mr_alignment *al = o->a->aligned;
    mr_series_list list = {0};
    if (!mr_set_flag(&o->a->job->settings, MR_SERIES))
        return list;
    bool *done = MR_ARRAY(o->arena, bool, al->tracks.n);
    for (size_t i = 0; i < al->tracks.n; i++) {
        const struct mr_track *t = &al->tracks.v[i];
        struct mr_series_file s = {0};
        if (done[i] || t->n == 0)
            continue;
        gather(al, i, done, &s, o->arena);
        for (s.from = 0; s.from < t->n; s.from = s.to) {
            s.to = t->n - s.from > rows_most ? s.from + rows_most : t->n;
            s.name = free_name(o->arena, &list, &s);
            MR_PUSH(o->arena, &list, s);
        }
    }
    return list;
}

const char *mr_series_note(const struct mr_outline *o, const char *id) {
    static const char *const of_logs[] = {"climate",        "least-spread", "heat-by-coat", "heat-events",
                                          "line-pressures", "line-events",  "pauses",       "channels"};
    size_t rows = 0, k = 0;
    while (k < MR_COUNT(of_logs) && strcmp(of_logs[k], id) != 0)
        k++;
    if (k == MR_COUNT(of_logs) || !o->a || o->a->aligned->tracks.n == 0)
        return "";
    const mr_series_list list = mr_series_of(o, MR_SERIES_ROWS_MOST);
    for (size_t i = 0; i < list.n; i++)
        rows += list.v[i].to - list.v[i].from;
    return rows ? mr_printf(o->arena,
                            " Logs are summarised here, by coat, event or channel; every sample (%zu rows, each with "
                            "its file and line) stands in the folder series beside this workbook.",
                            rows)
                : " Logs are summarised here, by coat, event or channel; their samples are not beside this workbook.";
}

/* --- what holds for a while ---------------------------------------------------------------------------- */

struct standing_text {
    int64_t t0_ms, t1_ms; /* both in */
    const char *text;
};

/* Spans in the order of their beginnings, and the text of those that hold now, as a cell. */
struct spans {
    MR_VEC(struct standing_text) v;
    size_t first;     /* those before it are over */
    int64_t until_ms; /* so long the text holds; the last moment out */
    char *cell;
};

static char *cell_text(struct mr_arena *arena, const char *text) {
    struct mr_buffer b = {.arena = arena};
    mr_csv_cell(&b, text);
    return mr_buffer_end(&b);
}

static void renew(struct mr_arena *arena, struct spans *s, int64_t t_ms) {
    const char *text = "";
    s->until_ms = INT64_MAX;
    while (s->first < s->v.n && s->v.v[s->first].t1_ms < t_ms)
        s->first++;
    for (size_t i = s->first; i < s->v.n; i++) {
        const struct standing_text *p = &s->v.v[i];
        if (p->t0_ms > t_ms) {
            s->until_ms = p->t0_ms < s->until_ms ? p->t0_ms : s->until_ms;
            break;
        }
        if (p->t1_ms < t_ms)
            continue;
        text = *text ? mr_printf(arena, "%s; %s", text, p->text) : p->text;
        if (p->t1_ms != INT64_MAX && p->t1_ms + 1 < s->until_ms)
            s->until_ms = p->t1_ms + 1;
    }
    s->cell = cell_text(arena, text);
}

static const char *holds_now(struct mr_arena *arena, struct spans *s, int64_t t_ms) {
    if (!s->cell || t_ms >= s->until_ms)
        renew(arena, s, t_ms);
    return s->cell;
}

static struct spans stays_of(struct mr_arena *arena, const struct mr_alignment *al, const struct mr_track *t) {
    struct spans out = {0};
    for (size_t i = 0; i < t->stays.n; i++) {
        const struct mr_stay *stay = &t->stays.v[i];
        const char *name = stay->gun ? "gun" : stay->zone < al->zones.n ? al->zones.v[stay->zone].name : "";
        if (*name)
            MR_PUSH(arena, &out.v, ((struct standing_text){stay->t0_utc_ms, stay->t1_utc_ms, name}));
    }
    return out;
}

static struct spans windows_of(struct mr_arena *arena, const struct mr_alignment *al) {
    struct spans out = {0};
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->zone < al->zones.n)
            MR_PUSH(arena, &out.v,
                    ((struct standing_text){w->t0_utc_ms, w->t1_utc_ms,
                                            mr_printf(arena, "%s, coat %d", al->zones.v[w->zone].name, w->coat)}));
    }
    return out;
}

/* --- columns ------------------------------------------------------------------------------------------- */

/* A channel: its values in each unit that its files have, in the report's, and where it stands. */
struct column {
    const struct mr_track *track;
    MR_VEC(enum mr_unit) written;
    enum mr_unit shown, now; /* now: of the file in hand */
    struct spans stays;
};

static enum mr_unit shown_unit(const struct mr_display *d, enum mr_meaning meaning) {
    const bool line = meaning == MR_M_LINE_A || meaning == MR_M_LINE_B || meaning == MR_M_MAIN;
    return meaning == MR_M_RH ? MR_UNIT_PCT : line ? d->pressure : d->temp;
}

static enum mr_unit canonical_unit(enum mr_meaning meaning) {
    static const struct mr_display si = {.temp = MR_UNIT_C, .pressure = MR_UNIT_KPA};
    return shown_unit(&si, meaning);
}

static enum mr_unit unit_in(const struct mr_track *t, uint32_t file) {
    for (size_t i = 0; i < t->files.n; i++)
        if (t->files.v[i].file == file && t->files.v[i].unit != MR_UNIT_NONE)
            return t->files.v[i].unit;
    return canonical_unit(t->meaning);
}

static struct column column_of(const struct mr_outline *o, struct mr_arena *arena, const struct mr_track *t) {
    struct column c = {
        .track = t, .shown = shown_unit(&o->a->job->display, t->meaning), .stays = stays_of(arena, o->a->aligned, t)};
    for (size_t i = 0; i < t->files.n; i++) {
        const enum mr_unit unit = unit_in(t, t->files.v[i].file);
        bool known = false;
        for (size_t k = 0; k < c.written.n; k++)
            known |= c.written.v[k] == unit;
        if (!known)
            MR_PUSH(arena, &c.written, unit);
    }
    if (c.written.n == 0)
        MR_PUSH(arena, &c.written, canonical_unit(t->meaning));
    return c;
}

/* "Ch1 (temperature)"; a channel that is called by what it measures is named once. */
static const char *heading_of(struct mr_arena *arena, const struct mr_track *t) {
    const char *word = mr_meaning_word(t->meaning);
    if (!*t->channel || !strcmp(mr_folded_name(arena, t->channel), mr_folded_name(arena, word)))
        return *t->channel ? t->channel : word;
    return mr_printf(arena, "%s (%s)", t->channel, word);
}

static void put_head(struct mr_buffer *out, const struct mr_outline *o, const struct column *column, size_t n) {
    mr_buffer_text(out, MR_CSV_HEAD);
    mr_csv_cell(out, "Time, UTC");
    mr_buffer_text(out, ",");
    mr_csv_cell(out, mr_printf(out->arena, "Time on site, %s", o->a->job->time_zone));
    for (size_t i = 0; i < n; i++) {
        const struct column *c = &column[i];
        const char *name = heading_of(out->arena, c->track);
        for (size_t k = 0; k < c->written.n; k++) {
            mr_buffer_text(out, ",");
            mr_csv_cell(out, mr_printf(out->arena, "%s as read, %s", name, mr_unit_symbol(c->written.v[k])));
        }
        mr_buffer_text(out, ",");
        mr_csv_cell(out, mr_printf(out->arena, "%s, %s", name, mr_unit_symbol(c->shown)));
        if (c->stays.v.n) {
            mr_buffer_text(out, ",");
            mr_csv_cell(out, mr_printf(out->arena, "%s stands for", name));
        }
    }
    mr_buffer_text(out, ",Sprayed then,File,Line\r\n");
}

/* --- rows ---------------------------------------------------------------------------------------------- */

/* The moments of one file: with thousandths where any of them has some; the date is put into words once a day. */
struct moments {
    bool fine;
    struct date {
        int64_t day;
        char text[11]; /* "" at first */
    } utc, site;
    int64_t offset_min; /* of the site, and as text */
    char offset[8];     /* "" at first */
};

/* "2026-05-11T14:03:20" of a moment as if it were UTC. */
static void put_moment(struct mr_buffer *out, const struct moments *m, struct date *d, int64_t t_ms) {
    const int64_t day = t_ms / MR_DAY_MS - (t_ms % MR_DAY_MS < 0);
    char text[16], *p = text;
    if (!*d->text || d->day != day) {
        int year, month, date;
        mr_civil_from_days(day, &year, &month, &date);
        d->day = day;
        char *to = mr_csv_digits(d->text, (uint64_t)year, 4);
        *to++ = '-';
        to = mr_csv_digits(to, (uint64_t)month, 2);
        *to++ = '-';
        *mr_csv_digits(to, (uint64_t)date, 2) = '\0';
    }
    const uint64_t ms = (uint64_t)(t_ms - day * MR_DAY_MS), s = ms / 1000;
    *p++ = 'T';
    p = mr_csv_digits(p, s / 3600, 2);
    *p++ = ':';
    p = mr_csv_digits(p, s / 60 % 60, 2);
    *p++ = ':';
    p = mr_csv_digits(p, s % 60, 2);
    if (m->fine) {
        *p++ = '.';
        p = mr_csv_digits(p, ms % 1000, 3);
    }
    mr_buffer_text(out, d->text);
    mr_buffer_add(out, text, (size_t)(p - text));
}

static void put_moments(struct mr_buffer *out, const struct mr_alignment *al, struct moments *m, int64_t t_utc_ms) {
    const int64_t site = mr_local_ms(al, t_utc_ms), apart = (site - t_utc_ms) / MINUTE_MS;
    put_moment(out, m, &m->utc, t_utc_ms);
    mr_buffer_text(out, "Z,");
    put_moment(out, m, &m->site, site);
    if (!*m->offset || apart != m->offset_min) {
        const uint64_t size = (uint64_t)(apart < 0 ? -apart : apart);
        m->offset_min = apart;
        m->offset[0] = apart < 0 ? '-' : '+';
        char *p = mr_csv_digits(m->offset + 1, size / 60, 2);
        *p++ = ':';
        *mr_csv_digits(p, size % 60, 2) = '\0';
    }
    mr_buffer_text(out, m->offset);
}

static void put_values(struct mr_buffer *out, struct mr_arena *arena, struct column *c, size_t i) {
    const double value = mr_track_value(c->track, i);
    for (size_t k = 0; k < c->written.n; k++) {
        mr_buffer_text(out, ",");
        if (c->written.v[k] == c->now)
            mr_csv_number(out, mr_from_canonical(c->now, value));
    }
    mr_buffer_text(out, ",");
    mr_csv_number(out, mr_from_canonical(c->shown, value));
    if (c->stays.v.n) {
        mr_buffer_text(out, ",");
        mr_buffer_text(out, holds_now(arena, &c->stays, mr_track_ms(c->track, i)));
    }
}

/* What the rows of one file are made of. */
struct rows_of_series {
    const struct mr_outline *o;
    const struct mr_series_file *s;
    struct mr_arena *arena;
    struct column *column;
    struct spans windows;
    struct moments moments;
    uint32_t file; /* in hand, with its name as a cell */
    const char *file_cell;
};

static void take_file(struct rows_of_series *m, uint32_t file) {
    const struct mr_data *data = m->o->a->aligned->data;
    const struct mr_source *source = file < data->files.n ? data->files.v[file].source : NULL;
    m->file = file;
    m->file_cell = cell_text(m->arena, source ? source->path : "");
    for (size_t c = 0; c < m->s->tracks.n; c++)
        m->column[c].now = unit_in(m->s->tracks.v[c], file);
}

static void put_row(struct mr_buffer *out, struct rows_of_series *m, size_t i) {
    const struct mr_track *t = m->s->tracks.v[0];
    const uint32_t file = mr_track_file(t, i);
    if (!m->file_cell || file != m->file)
        take_file(m, file);
    put_moments(out, m->o->a->aligned, &m->moments, mr_track_ms(t, i));
    for (size_t c = 0; c < m->s->tracks.n; c++)
        put_values(out, m->arena, &m->column[c], i);
    mr_buffer_text(out, ",");
    mr_buffer_text(out, holds_now(m->arena, &m->windows, mr_track_ms(t, i)));
    mr_buffer_text(out, ",");
    mr_buffer_text(out, m->file_cell);
    mr_buffer_text(out, ",");
    mr_csv_number(out, mr_track_line(t, i));
    mr_buffer_text(out, "\r\n");
}

int mr_series_rows(const struct mr_outline *o, const struct mr_series_file *s, FILE *file) {
    struct mr_arena *arena = mr_arena_like(o->arena);
    struct rows_of_series m = {.o = o,
                               .s = s,
                               .arena = arena,
                               .column = MR_ARRAY(arena, struct column, s->tracks.n),
                               .windows = windows_of(arena, o->a->aligned)};
    struct mr_buffer out = {.arena = arena};
    const struct mr_track *first = s->tracks.v[0];
    for (size_t c = 0; c < s->tracks.n; c++)
        m.column[c] = column_of(o, arena, s->tracks.v[c]);
    for (size_t i = s->from; i < s->to && !m.moments.fine; i++)
        m.moments.fine = mr_track_ms(first, i) % 1000 != 0;
    errno = 0;
    put_head(&out, o, m.column, s->tracks.n);
    for (size_t i = s->from; i < s->to; i++) {
        put_row(&out, &m, i);
        if (out.v.n < FLUSH_BYTES && i + 1 < s->to)
            continue;
        fwrite(out.v.v, 1, out.v.n, file);
        out.v.n = 0;
    }
    mr_arena_free(arena);
    const int error = ferror(file) ? (errno ? errno : EIO) : 0;
    return fclose(file) != 0 && !error ? errno : error;
}
