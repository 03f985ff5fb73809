/*
 * roll_up.c - on one page what failed, what is open, what changed, what is due; what conforms is counted. The same as
 * JSON and, by roll_up_tables.c, as a workbook.
 */
#include "cli/roll_up.h"

#include "base/buffer.h"
#include "base/json.h"
#include "base/outfile.h"
#include "cli/console.h"
#include "cli/job_lock.h"

#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

static bool changed(const struct mr_roll_job *job) {
    return job->change != NULL;
}

static const char *zones_text(struct mr_arena *arena, const struct mr_job_state *s) {
    long long all = 0;
    for (size_t i = 0; i < 4; i++)
        all += (long long)s->zones[i];
    return mr_printf(arena, "%lld of %lld %s open", (long long)(s->zones[2] + s->zones[3]), all,
                     all == 1 ? "zone" : "zones");
}

static bool is_due(const struct mr_roll_job *job) {
    return job->due && !job->reported;
}

static const char *items_text(struct mr_arena *arena, const struct mr_job_state *s, const char *now) {
    if (s->open_items == 0)
        return "";
    const int days = mr_days_open(s, now);
    const char *oldest = days < 0 ? "" : mr_printf(arena, ", the oldest for %d %s", days, days == 1 ? "day" : "days");
    return mr_printf(arena, ", %lld non-%s%s", (long long)s->open_items,
                     s->open_items == 1 ? "conformance open" : "conformances open", oldest);
}

static const char *film_text(struct mr_arena *arena, const struct mr_job_state *s) {
    if (isnan(s->film_low_um))
        return "";
    const double low_mil = mr_from_canonical(MR_UNIT_MIL, s->film_low_um),
                 high_mil = mr_from_canonical(MR_UNIT_MIL, s->film_high_um);
    if (s->film_low_um >= s->film_high_um)
        return mr_printf(arena,
                         ", mean film %.0f \xc2\xb5"
                         "m (%.1f mil)",
                         s->film_low_um, low_mil);
    return mr_printf(arena,
                     ", mean film by zone %.0f to %.0f \xc2\xb5"
                     "m (%.1f to %.1f mil)",
                     s->film_low_um, s->film_high_um, low_mil, high_mil);
}

/* A folder's name may hold what would break a line. */
static const char *clean(struct mr_arena *arena, const char *text) {
    return mr_clean_text(arena, text, strlen(text), 1000);
}

static const char *job_line(struct mr_arena *arena, const struct mr_roll_job *job, const char *now) {
    const struct mr_job_state *s = &job->state;
    const char *name = *s->name ? mr_printf(arena, " (%s)", clean(arena, s->name)) : "";
    const char *facts = mr_roll_failed(job) ? ""
                                            : mr_printf(arena, ", %s%s%s", zones_text(arena, s),
                                                        items_text(arena, s, now), film_text(arena, s));
    return mr_printf(arena, "  %s%s: %s%s, since %s%s%s\n", clean(arena, job->dir), name, mr_job_state_text(s), facts,
                     *s->since ? s->since : "not known", *s->before ? ", before: " : "", s->before);
}

static void put_section(struct mr_buffer *out, const struct mr_roll_up *roll, const char *title, const char *now,
                        bool (*belongs)(const struct mr_roll_job *job)) {
    size_t n = 0;
    for (size_t i = 0; i < roll->jobs.n; i++)
        n += belongs(&roll->jobs.v[i]);
    if (!n)
        return;
    mr_buffer_text(out, mr_printf(out->arena, "\n%s: %zu\n", title, n));
    for (size_t i = 0; i < roll->jobs.n; i++)
        if (belongs(&roll->jobs.v[i]))
            mr_buffer_text(out, job_line(out->arena, &roll->jobs.v[i], now));
}

static void put_changes(struct mr_buffer *out, const struct mr_roll_up *roll) {
    size_t n = roll->gone.n;
    for (size_t i = 0; i < roll->jobs.n; i++)
        n += changed(&roll->jobs.v[i]);
    if (!n)
        return;
    mr_buffer_text(out,
                   mr_printf(out->arena, "\nChanged since the sweep before, of %s: %zu\n", roll->former_when, n));
    for (size_t i = 0; i < roll->jobs.n; i++)
        if (changed(&roll->jobs.v[i]))
            mr_buffer_text(out, mr_printf(out->arena, "  %s: %s (%s)\n", clean(out->arena, roll->jobs.v[i].dir),
                                          mr_job_state_text(&roll->jobs.v[i].state), roll->jobs.v[i].change));
    for (size_t i = 0; i < roll->gone.n; i++)
        mr_buffer_text(out, mr_printf(out->arena, "  %s: no longer there (was: %s)\n",
                                      clean(out->arena, roll->gone.v[i].dir), roll->gone.v[i].state));
}

static void put_left_out(struct mr_buffer *out, const struct mr_roll_up *roll) {
    if (roll->unread.n)
        mr_buffer_text(
            out, mr_printf(out->arena, "\nNot looked at, since the folder cannot be read: %zu\n", roll->unread.n));
    for (size_t i = 0; i < roll->unread.n; i++)
        mr_buffer_text(out, mr_printf(out->arena, "  %s: %s\n", clean(out->arena, roll->unread.v[i].path),
                                      strerrordesc_np(roll->unread.v[i].error)));
    if (roll->without_job_file.n)
        mr_buffer_text(out,
                       mr_printf(out->arena, "\nExports without a job file: %zu. `milrise new FOLDER` makes one.\n",
                                 roll->without_job_file.n));
    for (size_t i = 0; i < roll->without_job_file.n; i++)
        mr_buffer_text(out, mr_printf(out->arena, "  %s\n", clean(out->arena, roll->without_job_file.v[i])));
}

static void put_due(struct mr_buffer *out, const struct mr_roll_up *roll, const char *now) {
    const mr_due_list due = mr_roll_up_due(out->arena, roll, now);
    if (due.n)
        mr_buffer_text(
            out, mr_printf(out->arena, "\nCalibration due within %d days: %zu\n", (int)MR_DUE_SOON_DAYS, due.n));
    for (size_t i = 0; i < due.n; i++) {
        const struct mr_due_instrument *d = &due.v[i];
        mr_buffer_text(out,
                       mr_printf(out->arena, "  %s, certificate %s: %s %s, in %zu %s\n", d->certificate.instrument,
                                 *d->certificate.number ? d->certificate.number : "not named",
                                 d->days_left < 0 ? "ended" : "ends", d->certificate.until, d->jobs,
                                 d->jobs == 1 ? "job" : "jobs"));
    }
}

static char *text_of(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll, const char *now) {
    struct mr_buffer out = {.arena = arena};
    size_t good = 0, reported = 0;
    for (size_t i = 0; i < roll->jobs.n; i++) {
        good += !mr_roll_failed(&roll->jobs.v[i]) && !mr_roll_open(&roll->jobs.v[i]);
        reported += roll->jobs.v[i].reported;
    }
    mr_buffer_text(&out, mr_printf(arena, "%s, %s: %zu %s, %zu reported now\n%zu %s\n", clean(arena, share), now,
                                   roll->jobs.n, roll->jobs.n == 1 ? "job" : "jobs", reported, good,
                                   good == 1 ? "conforms" : "conform"));
    put_section(&out, roll, "No report", now, mr_roll_failed);
    put_section(&out, roll, "Open", now, mr_roll_open);
    put_changes(&out, roll);
    put_left_out(&out, roll);
    put_section(&out, roll, "Files changed since the last report", now, is_due);
    put_due(&out, roll, now);
    mr_buffer_text(
        &out,
        "\nThe answer.txt in each job says what to do. The reports assist and do not replace a qualified coating "
        "inspector.\n");
    return mr_buffer_end(&out);
}

static void put_job(struct mr_json *j, struct mr_arena *arena, const char *share, const struct mr_roll_job *job) {
    const struct mr_job_state *s = &job->state;
    static const char *const outcomes[4] = {"not required", "conforms", "not shown", "does not conform"};
    mr_json_object(j, NULL, false);
    mr_json_text(j, "folder", job->dir);
    mr_json_text(j, "below", mr_roll_below(arena, share, job->dir));
    mr_json_text(j, "name", s->name);
    mr_json_text(j, "crew", s->crew);
    mr_json_text(j, "outcome", mr_roll_failed(job) ? NULL : s->outcome);
    mr_json_text(j, "failure", *s->failure ? s->failure : NULL);
    mr_json_count(j, "exit_status", s->exit_status);
    mr_json_flag(j, "reported_now", job->reported);
    mr_json_flag(j, "due", is_due(job));
    mr_json_text(j, "since", s->since);
    mr_json_text(j, "before", *s->before ? s->before : NULL);
    mr_json_text(j, "change", job->change);
    mr_json_object(j, "zones_by_outcome", true);
    for (size_t i = 0; i < 4; i++)
        mr_json_count(j, outcomes[i], s->zones[i]);
    mr_json_end(j);
    mr_json_count(j, "findings", s->findings);
    mr_json_count(j, "open_items", s->open_items);
    mr_json_text(j, "oldest_open", *s->oldest_open ? s->oldest_open : NULL);
    mr_json_count(j, "revision", s->revision);
    mr_json_number(j, "film_low_um", s->film_low_um);
    mr_json_number(j, "film_mean_um", s->film_mean_um);
    mr_json_number(j, "film_high_um", s->film_high_um);
    mr_json_end(j);
}

static void put_folders(struct mr_json *j, const struct mr_roll_up *roll) {
    mr_json_text(j, "compared_with", *roll->former_when ? roll->former_when : NULL);
    mr_json_array(j, "gone", false);
    for (size_t i = 0; i < roll->gone.n; i++) {
        mr_json_object(j, NULL, true);
        mr_json_text(j, "below", roll->gone.v[i].dir);
        mr_json_text(j, "was", roll->gone.v[i].state);
        mr_json_end(j);
    }
    mr_json_end(j);
    mr_json_array(j, "unread", false);
    for (size_t i = 0; i < roll->unread.n; i++) {
        mr_json_object(j, NULL, true);
        mr_json_text(j, "folder", roll->unread.v[i].path);
        mr_json_text(j, "why", strerrordesc_np(roll->unread.v[i].error));
        mr_json_end(j);
    }
    mr_json_end(j);
    mr_json_array(j, "without_job_file", false);
    for (size_t i = 0; i < roll->without_job_file.n; i++)
        mr_json_text(j, NULL, roll->without_job_file.v[i]);
    mr_json_end(j);
}

static const char *json_of(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll,
                           const char *now) {
    struct mr_json *j = mr_json_memory(arena);
    const mr_due_list due = mr_roll_up_due(arena, roll, now);
    mr_json_object(j, NULL, false);
    mr_json_text(j, "schema_version", "1.2");
    mr_json_text(j, "milrise_version", MR_VERSION);
    mr_json_text(j, "when", now);
    mr_json_array(j, "jobs", false);
    for (size_t i = 0; i < roll->jobs.n; i++)
        put_job(j, arena, share, &roll->jobs.v[i]);
    mr_json_end(j);
    put_folders(j, roll);
    mr_json_array(j, "calibration_due", false);
    for (size_t i = 0; i < due.n; i++) {
        mr_json_object(j, NULL, true);
        mr_json_text(j, "instrument", due.v[i].certificate.instrument);
        mr_json_text(j, "certificate", due.v[i].certificate.number);
        mr_json_text(j, "until", due.v[i].certificate.until);
        mr_json_count(j, "days_left", due.v[i].days_left);
        mr_json_count(j, "jobs", (int64_t)due.v[i].jobs);
        mr_json_end(j);
    }
    mr_json_end(j);
    mr_json_end(j);
    return mr_json_take(j);
}

/* One at a time; what a sweep that was killed left half made goes. */
static void begin_writing(struct mr_arena *arena, int fd, const char *folder) {
    static const char half[] = "." MR_ROLL_UP ".";
    if (flock(fd, LOCK_EX) != 0)
        return; /* a file system that knows no locks: each file is still put in place whole */
    DIR *dir = opendir(folder);
    for (struct dirent *e; dir && (e = readdir(dir));)
        if (strncmp(e->d_name, half, sizeof half - 1) == 0)
            unlink(mr_printf(arena, "%s/%s", folder, e->d_name));
    if (dir)
        closedir(dir);
}

static size_t count_jobs(const struct mr_roll_up *roll, bool (*belongs)(const struct mr_roll_job *)) {
    size_t n = 0;
    for (size_t i = 0; i < roll->jobs.n; i++)
        n += belongs(&roll->jobs.v[i]);
    return n;
}

static bool conforms(const struct mr_roll_job *job) {
    return !mr_roll_failed(job) && !mr_roll_open(job);
}

static bool is_waiting(const struct mr_roll_job *job) {
    return job->due;
}

static const char *lead_text(struct mr_arena *arena, const struct mr_roll_up *roll, const char *now) {
    const size_t n = roll->jobs.n, waiting = count_jobs(roll, is_waiting);
    const char *more = waiting ? mr_printf(arena, " The files of %zu changed since their last report.", waiting) : "";
    if (roll->unread.n)
        more = mr_printf(arena, "%s %zu %s could not be read, and jobs there were not looked at.", more,
                         roll->unread.n, roll->unread.n == 1 ? "folder" : "folders");
    if (roll->without_job_file.n)
        more = mr_printf(arena, "%s %zu %s exports and no job file.", more, roll->without_job_file.n,
                         roll->without_job_file.n == 1 ? "folder has" : "folders have");
    return mr_printf(arena, "%s. %zu %s: %zu conform, %zu open, %zu without a report.%s", now, n,
                     n == 1 ? "job" : "jobs", count_jobs(roll, conforms), count_jobs(roll, mr_roll_open),
                     count_jobs(roll, mr_roll_failed), more);
}

/* What needs somebody comes first; the rest is in the workbook. */
static enum mr_status write_page(struct mr_arena *arena, const char *folder, const char *share,
                                 const struct mr_roll_up *roll, const char *now,
                                 const struct mr_table *const tables[MR_ROLL_TABLES]) {
    static const char *const failed[] = {"below", "name", "state", "since"};
    static const char *const open[] = {"below",     "name",       "state",    "nonconforming",
                                       "not_shown", "open_items", "days_open"};
    static const char *const changes[] = {"below", "name", "state", "change"};
    static const char *const crews[] = {"crew",      "jobs",       "failed",      "nonconforming",
                                        "not_shown", "conforming", "film_low_um", "film_high_um"};
    static const char *const due[] = {"instrument", "certificate", "until", "days_left", "jobs"};
    const size_t n_failed = count_jobs(roll, mr_roll_failed), n_open = count_jobs(roll, mr_roll_open);
    const struct mr_one_page_part parts[] = {
        {"Without a report", tables[MR_ROLL_JOBS], 0, n_failed, MR_COUNT(failed), failed},
        {"Open", tables[MR_ROLL_JOBS], n_failed, n_open, MR_COUNT(open), open},
        {"Changed since the sweep before", tables[MR_ROLL_CHANGES], 0, tables[MR_ROLL_CHANGES]->n_rows,
         MR_COUNT(changes), changes},
        {"Crews", tables[MR_ROLL_CREWS], 0, tables[MR_ROLL_CREWS]->n_rows, MR_COUNT(crews), crews},
        {"Calibration due", tables[MR_ROLL_DUE], 0, tables[MR_ROLL_DUE]->n_rows, MR_COUNT(due), due}};
    const struct mr_one_page page = {
        .title = mr_printf(arena, "Jobs of %s", clean(arena, share)),
        .lead = lead_text(arena, roll, now),
        .foot = "The answer in each job's folder says what to do. The reports assist and do not replace a qualified "
                "coating inspector, the supplier's written instructions, the contract specification, local codes or "
                "licensed engineering.",
        .version = MR_VERSION,
        .created_utc_ms = (int64_t)mr_cli_now() * 1000,
        .n_parts = MR_COUNT(parts),
        .parts = parts,
        .film = tables[MR_ROLL_FILM]};
    return mr_render_one_page(arena, folder, "roll-up.pdf", &page);
}

static enum mr_status write_all(struct mr_arena *arena, const char *folder, const char *share,
                                struct mr_roll_up *roll, const char *now) {
    const char *why;
    const struct mr_table *tables[MR_ROLL_TABLES];
    mr_roll_up_compare(arena, share, mr_printf(arena, "%s/roll-up.json", folder), roll);
    mr_roll_up_tables(arena, share, roll, now, tables);
    const struct mr_tables_book book = {.title = "Jobs of a share",
                                        .footer = now,
                                        .version = MR_VERSION,
                                        .created_utc_ms = (int64_t)mr_cli_now() * 1000,
                                        .n = MR_ROLL_TABLES,
                                        .tables = tables};
    const char *json = json_of(arena, share, roll, now), *text = text_of(arena, share, roll, now);
    enum mr_status status = mr_render_tables(arena, folder, "roll-up.xlsx", &book, &why);
    if (status == MR_OK)
        status = write_page(arena, folder, share, roll, now, tables);
    if (status == MR_OK)
        status = mr_file_write(arena, mr_printf(arena, "%s/roll-up.txt", folder), text, strlen(text));
    if (status == MR_OK) /* last: it is what the next one compares with */
        status = mr_file_write(arena, mr_printf(arena, "%s/roll-up.json", folder), json, strlen(json));
    return status;
}

enum mr_status mr_roll_up_write(struct mr_arena *arena, const char *share, struct mr_roll_up *roll, const char *now) {
    const char *folder;
    const int fd = mr_own_folder(arena, share, MR_ROLL_UP, true, &folder);
    if (fd < 0)
        return MR_E_OUTPUT;
    begin_writing(arena, fd, folder);
    const enum mr_status status = write_all(arena, folder, share, roll, now);
    const int error = errno;
    close(fd);
    errno = error;
    return status == MR_OK ? MR_OK : MR_E_OUTPUT;
}
