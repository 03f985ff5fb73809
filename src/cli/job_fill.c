/*
 * job_fill.c - see job_fill.h. Limits and time zone are never guessed: a limit that was only an example must not
 * prove anything.
 */
#include "cli/job_fill.h"

#include "base/buffer.h"
#include "base/text.h"
#include "base/tzone.h"
#include "milrise/milrise.h"

#include <string.h>

struct fill {
    struct mr_arena *arena;
    struct mr_buffer text;
};

static void put(struct fill *f, const char *text, size_t n) {
    mr_buffer_add(&f->text, text, n);
}

static void put_all(struct fill *f, const char *text) {
    mr_buffer_text(&f->text, text);
}

static const char *day_text(struct mr_arena *arena, int64_t ms) {
    char date[MR_DATE_TEXT];
    mr_date_text(ms, date);
    return mr_strdup(arena, date);
}

/* "dates = FIRST .. LAST"; NULL where no file states a day. */
static const char *dates_line(struct mr_arena *arena, const struct mr_data *data) {
    int64_t first = INT64_MAX, last = INT64_MIN;
    for (size_t i = 0; i < data->files.n; i++) {
        const struct mr_file *f = &data->files.v[i];
        if (f->first_ms == MR_T_NONE || f->last_ms == MR_T_NONE || f->first_ms < 0)
            continue;
        first = f->first_ms < first ? f->first_ms : first;
        last = f->last_ms > last ? f->last_ms : last;
    }
    if (first > last)
        return NULL;
    return mr_printf(arena, "dates = %s .. %s\n", day_text(arena, first), day_text(arena, last));
}

static const char *folder_name(struct mr_arena *arena, const char *dir) {
    size_t n = strlen(dir);
    while (n > 1 && dir[n - 1] == '/')
        n--;
    size_t from = n;
    while (from > 0 && dir[from - 1] != '/')
        from--;
    return mr_clean_text(arena, dir + from, n - from, 200);
}

/* The line for the zone that the files state above their tables by its name ("Europe/Berlin"); NULL where none does,
 * or where they differ. An offset names no zone: it may hold for the instrument's clock alone. */
static const char *stated_zone(struct mr_arena *arena, const struct mr_data *data) {
    const char *found = NULL;
    for (size_t i = 0; i < data->files.n; i++)
        for (size_t k = 0; k < data->files.v[i].source->preamble.n; k++) {
            const char *value = data->files.v[i].source->preamble.v[k].value;
            const struct mr_tzone *zone;
            if (strlen(value) > 64 || !strchr(value, '/') || !((*value | 32) >= 'a' && (*value | 32) <= 'z') ||
                mr_tzone_load(arena, value, &zone) != MR_OK)
                continue;
            if (found && strcmp(found, value) != 0)
                return NULL;
            found = value;
        }
    return found ? mr_printf(arena, "# as the exports state it\ntime zone = %s\n", found) : NULL;
}

/* What stands in place of a line of the template; NULL: the line stays. */
static const char *instead(struct mr_arena *arena, const char *line, size_t n, const char *dir, const char *dates,
                           const char *tz, bool us) {
    const struct {
        const char *starts, *text;
    } marks[] = {
        {"site = ", "site = ?\n"},
        {"time zone = ", tz ? tz : "time zone = ?\n"},
        {"rules = ", "rules = ?\n"},
        {"correction = ", "correction = ?\n"},
        {"crew = ", "# crew = one sprayer, one pump operator, one inspector\n"},
        {"minimum = ", "minimum = ?\n"},
        {"maximum = ", "maximum = ?\n"},
    };
    for (size_t i = 0; i < MR_COUNT(marks); i++)
        if (n >= strlen(marks[i].starts) && strncmp(line, marks[i].starts, strlen(marks[i].starts)) == 0)
            return marks[i].text;
    if (n > 7 && strncmp(line, "name = ", 7) == 0)
        return mr_printf(arena, "name = %s\n", folder_name(arena, dir));
    if (dates && n > 9 && strncmp(line, "# dates =", 9) == 0)
        return dates;
    if (us && n > 8 && strncmp(line, "units = ", 8) == 0)
        return "units = US\n";
    return NULL;
}

static bool was_named(const struct mr_data *data, size_t i) {
    for (size_t k = 0; k < i; k++)
        if (strcmp(data->files.v[k].instrument_name, data->files.v[i].instrument_name) == 0)
            return true;
    return false;
}

static void put_instruments(struct fill *f, const struct mr_data *data) {
    for (size_t i = 0; i < data->files.n; i++) {
        const struct mr_file *file = &data->files.v[i];
        if (!*file->instrument_name || strchr(file->instrument_name, '"') || was_named(data, i))
            continue;
        put_all(f, mr_printf(f->arena, "\n# %s, in %s\n[instrument \"%s\"]\n", mr_kind_text(file->kind),
                             mr_clean_text(f->arena, file->source->path, strlen(file->source->path), 200),
                             mr_clean_text(f->arena, file->instrument_name, strlen(file->instrument_name), 80)));
    }
}

static bool has_channel(const struct mr_data *data, size_t i) {
    const struct mr_channel *c = data->channels.v;
    for (size_t k = 0; k < i; k++)
        if (strcmp(c[k].name, c[i].name) == 0 &&
            strcmp(data->files.v[c[k].file].instrument_name, data->files.v[c[i].file].instrument_name) == 0)
            return true;
    return false;
}

static void put_channels(struct fill *f, const struct mr_data *data) {
    const char *last = "";
    for (size_t i = 0; i < data->channels.n; i++) {
        const struct mr_channel *c = &data->channels.v[i];
        const char *instrument = data->files.v[c->file].instrument_name;
        if (data->files.v[c->file].kind != MR_KIND_TEMPERATURE || !*instrument || !*c->name || has_channel(data, i))
            continue;
        if (strcmp(last, instrument) != 0)
            put_all(f, mr_printf(f->arena, "\n# Which zone was each channel on, and when?\n# [assign \"%s\"]\n",
                                 mr_clean_text(f->arena, instrument, strlen(instrument), 80)));
        last = instrument;
        put_all(f, mr_printf(f->arena, "# %s = ?\n", mr_clean_text(f->arena, c->name, strlen(c->name), 80)));
    }
}

static void put_zones(struct fill *f, const struct mr_data *data) {
    bool any = false;
    for (size_t i = 0; i < data->readings.n; i++) {
        const char *zone = data->readings.v[i].zone;
        bool known = !*zone;
        for (size_t k = 0; k < i && !known; k++)
            known = strcmp(data->readings.v[k].zone, zone) == 0;
        if (known)
            continue;
        if (!any)
            put_all(f, "\n# Zones that the thickness readings name; each needs a row in zones.csv with its area:\n");
        any = true;
        put_all(f, mr_printf(f->arena, "#   %s\n", mr_clean_text(f->arena, zone, strlen(zone), 200)));
    }
}

static bool any_recognised(const struct mr_data *data) {
    for (size_t i = 0; i < data->files.n; i++)
        if (data->files.v[i].kind != MR_KIND_UNKNOWN)
            return true;
    return false;
}

char *mr_job_fill(struct mr_arena *arena, const char *dir, bool us) {
    struct mr_diags diags;
    struct mr_sources sources;
    const struct mr_data *data;
    struct mr_job job = *mr_job_default(arena);
    job.dir = dir;
    mr_diags_init(&diags, arena);
    if (mr_read_folder(arena, &job, &diags, &sources) != MR_OK ||
        mr_normalise(arena, &sources, &diags, &data) != MR_OK || !any_recognised(data))
        return NULL;
    struct fill f = {.arena = arena, .text = {.arena = arena}};
    const struct mr_text_file *template = mr_template("job/" MR_JOB_FILE);
    const char *dates = dates_line(arena, data), *tz = stated_zone(arena, data);
    put_all(
        &f,
        "# Made from the exports in this folder. Put the true value in place of each ? before the first report.\n");
    for (const char *line = template->data; *line;) {
        size_t n = strcspn(line, "\n"), whole = n + (line[n] == '\n');
        const char *other = instead(arena, line, n, dir, dates, tz, us);
        dates = other == dates ? NULL : dates; /* further lines of that name belong to [file] sections */
        if (other)
            put_all(&f, other);
        else
            put(&f, line, whole);
        line += whole;
    }
    put_all(&f, "\n# ---- What the exports in this folder show.\n");
    put_instruments(&f, data);
    put_channels(&f, data);
    put_zones(&f, data);
    return mr_buffer_end(&f.text);
}
