/*
 * file_accounts.c - the account of the files: rows read = header + used + set aside, for each file, with every run of
 * rows that was set aside and the reason. Nothing vanishes: what the stages before found odd becomes a finding here,
 * once per file and kind of oddity, so that a thousand bad rows are one finding with a count.
 */
#include "assess/report/provenance.h"

#include "base/text.h"

#include <string.h>

const char *mr_clock_reading(struct mr_assess *a, int64_t t_ms, enum mr_time_basis basis) {
    int64_t day = t_ms / MR_DAY_MS - (t_ms % MR_DAY_MS < 0), s = (t_ms - day * MR_DAY_MS) / 1000;
    int year, month, d;
    mr_civil_from_days(day, &year, &month, &d);
    return mr_printf(a->arena, "%04d-%02d-%02d %02d:%02d:%02d%s", year, month, d, (int)(s / 3600), (int)(s / 60 % 60),
                     (int)(s % 60), basis == MR_TIME_UTC ? " UTC" : "");
}

static const struct mr_account *account_of(const struct mr_assess *a, size_t i) {
    return a->aligned->accounts != NULL ? &a->aligned->accounts[i] : &a->aligned->data->files.v[i].account;
}

/* Reasons that belong to any export and need no one's attention. */
static bool is_usual(enum mr_aside why) {
    return why == MR_ASIDE_BLANK || why == MR_ASIDE_REPEATED_HEADER || why == MR_ASIDE_SUMMARY ||
           why == MR_ASIDE_COPY || why == MR_ASIDE_REPEATED || why == MR_ASIDE_NO_VALUE;
}

static uint64_t unusual_rows(const struct mr_account *account) {
    uint64_t n = 0;
    for (int why = 0; why < MR_ASIDE_COUNT; why++)
        n += is_usual((enum mr_aside)why) ? 0 : account->by_reason[why];
    return n;
}

static const char *reasons_of(struct mr_assess *a, const struct mr_account *account, bool unusual_only) {
    const char *text = "";
    for (int why = 0; why < MR_ASIDE_COUNT; why++) {
        if (account->by_reason[why] == 0 || (unusual_only && is_usual((enum mr_aside)why)))
            continue;
        text = mr_printf(a->arena, "%s%s%s: %llu", text, text[0] == '\0' ? "" : "; ",
                         mr_aside_text((enum mr_aside)why), (unsigned long long)account->by_reason[why]);
    }
    return text;
}

static void add_file_row(struct mr_assess *a, struct mr_table *table, size_t i) {
    const struct mr_file *f = &a->aligned->data->files.v[i];
    const struct mr_source *s = f->source;
    const struct mr_account *account = account_of(a, i);
    const char delimiter[] = {s->delimiter, '\0'};
    struct mr_value v[] = {
        mr_v_text(s->path),
        mr_v_text(mr_kind_text(f->kind)),
        mr_v_text(f->kind_why == NULL ? "" : f->kind_why),
        mr_v_count((int64_t)account->rows_read),
        mr_v_count((int64_t)account->rows_header),
        mr_v_count((int64_t)account->rows_used),
        mr_v_count((int64_t)account->rows_set_aside),
        mr_v_text(reasons_of(a, account, false)),
        mr_v_text(f->instrument_name == NULL ? "" : f->instrument_name),
        f->first_ms == MR_T_NONE ? mr_v_blank("") : mr_v_text(mr_clock_reading(a, f->first_ms, f->basis)),
        f->last_ms == MR_T_NONE ? mr_v_blank("") : mr_v_text(mr_clock_reading(a, f->last_ms, f->basis)),
        mr_v_text(f->date_order == NULL ? "" : f->date_order),
        mr_v_text(f->date_why == NULL ? "" : f->date_why),
        mr_v_text(mr_encoding_text(s->encoding)),
        mr_v_text(s->delimiter == '\t'        ? "tab"
                  : s->delimiter == MR_BLANKS ? "blanks"
                                              : mr_strdup(a->arena, delimiter)),
        mr_v_count((int64_t)s->size),
        mr_v_text(mr_strdup(a->arena, s->sha256)),
    };
    mr_table_add(a->arena, table, v);
}

static void add_files(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"path", "File", MR_UNIT_NONE, 0},
        {"kind", "Taken for", MR_UNIT_NONE, 0},
        {"kind_why", "Because", MR_UNIT_NONE, 0},
        {"rows_read", "Rows read", MR_UNIT_NONE, 0},
        {"rows_header", "Header", MR_UNIT_NONE, 0},
        {"rows_used", "Used", MR_UNIT_NONE, 0},
        {"rows_set_aside", "Set aside", MR_UNIT_NONE, 0},
        {"reasons", "Set aside because", MR_UNIT_NONE, 0},
        {"instrument", "Instrument", MR_UNIT_NONE, 0},
        {"first", "First, by its clock", MR_UNIT_NONE, 0},
        {"last", "Last, by its clock", MR_UNIT_NONE, 0},
        {"date_order", "Dates", MR_UNIT_NONE, 0},
        {"date_why", "Because", MR_UNIT_NONE, 0},
        {"encoding", "Encoding", MR_UNIT_NONE, 0},
        {"delimiter", "Delimiter", MR_UNIT_NONE, 0},
        {"bytes", "Bytes", MR_UNIT_NONE, 0},
        {"sha256", "SHA-256", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "inputs", "Inputs",
                     "Every file of the job folder. Rows read are always header, used and set aside together.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->aligned->data->files.n; i++)
        add_file_row(a, table, i);
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

#define RUNS_PER_FILE 1000 /* a sheet, not a log; the account above has the sums */

static void add_set_aside(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"path", "File", MR_UNIT_NONE, 0},          {"line", "First line", MR_UNIT_NONE, 0},
        {"line_end", "Last line", MR_UNIT_NONE, 0}, {"rows", "Rows", MR_UNIT_NONE, 0},
        {"reason", "Reason", MR_UNIT_NONE, 0},      {"text", "Details", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "set-aside", "Rows set aside",
                     "Each run of consecutive rows that was not used, and why.", MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->aligned->data->files.n; i++) {
        const struct mr_account *account = account_of(a, i);
        const char *path = a->aligned->data->files.v[i].source->path;
        size_t shown = account->runs.n < RUNS_PER_FILE ? account->runs.n : RUNS_PER_FILE;
        uint64_t rows = 0;
        for (size_t k = 0; k < shown; k++) {
            const struct mr_aside_run *run = &account->runs.v[k];
            rows += run->rows;
            struct mr_value v[] = {mr_v_text(path),
                                   mr_v_count(run->line),
                                   mr_v_count(run->line_end > 0 ? run->line_end : run->line),
                                   mr_v_count((int64_t)run->rows),
                                   mr_v_text(mr_aside_word(run->why)),
                                   mr_v_text(mr_aside_text(run->why))};
            mr_table_add(a->arena, table, v);
        }
        if (shown == account->runs.n)
            continue;
        struct mr_value rest[] = {mr_v_text(path),      mr_v_blank(""),
                                  mr_v_blank(""),       mr_v_count((int64_t)(account->rows_set_aside - rows)),
                                  mr_v_text("further"), mr_v_text("further rows, see the sums under Inputs")};
        mr_table_add(a->arena, table, rest);
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

/* --- findings about files ---------------------------------------------------------------------------- */

static struct mr_finding file_finding(struct mr_assess *a, const char *id, enum mr_severity severity,
                                      const char *path) {
    struct mr_finding f = mr_blank_finding(id, severity, MR_NONE, 0);
    f.rule = "every row of every file is used, or set aside for a named reason";
    f.source = MR_SRC_PD;
    mr_add_evidence(a, &f.evidence, (struct mr_place){path, 0, 0, 0}, "the file");
    return f;
}

static void add_aside_evidence(struct mr_assess *a, struct mr_finding *f, const char *path,
                               const struct mr_account *account) {
    f->evidence = (mr_evidence_list){0};
    for (size_t k = 0; k < account->runs.n && f->evidence.n < 10; k++) {
        const struct mr_aside_run *run = &account->runs.v[k];
        if (!is_usual(run->why))
            mr_add_evidence(a, &f->evidence, (struct mr_place){path, run->line, run->line_end, 0},
                            mr_aside_text(run->why));
    }
}

static void find_about_file(struct mr_assess *a, size_t i) {
    const struct mr_file *file = &a->aligned->data->files.v[i];
    const struct mr_account *account = account_of(a, i);
    const char *path = file->source->path;
    const uint64_t body = account->rows_read - account->rows_header, unusual = unusual_rows(account);
    struct mr_finding f;
    if (!file->source->readable) {
        f = file_finding(a, "unreadable-file", MR_WARNING, path);
        f.what = mr_printf(a->arena, "%s could not be read.", path);
        f.next_step = "Check the file's permissions and the disk.";
    } else if (file->copy_of != NULL) {
        f = file_finding(a, "copied-file", MR_NOTE, path);
        f.what = mr_printf(a->arena, "%s is a copy of %s; its rows are used once.", path, file->copy_of);
        f.next_step = "Nothing to do; you may remove the copy from the folder.";
    } else if (file->kind == MR_KIND_UNKNOWN) {
        f = file_finding(a, "unknown-file", MR_WARNING, path);
        f.what = mr_printf(a->arena, "%s was not recognised; none of its rows was used. %s", path,
                           file->kind_why == NULL ? "" : file->kind_why);
        f.next_step = "Add a [file] section with its kind, or with `kind = ignore`, to the job file.";
    } else if (account->by_reason[MR_ASIDE_DATE_ORDER] > 0) {
        f = file_finding(a, "date-order", MR_WARNING, path);
        f.measured = (double)account->by_reason[MR_ASIDE_DATE_ORDER];
        f.what =
            mr_printf(a->arena, "%s: day and month cannot be told apart; its rows are set aside, not guessed. %s",
                      path, file->date_why == NULL ? "" : file->date_why);
        f.next_step =
            "Add `dates = day-first` or `dates = month-first` to this file's [file] section in the job file.";
    } else if (file->refused != NULL) {
        f = file_finding(a, "file-set-aside", MR_WARNING, path);
        f.measured = (double)unusual;
        f.what = mr_printf(a->arena, "%s %s. None of its %llu rows was used.", path, file->refused,
                           (unsigned long long)account->rows_read);
        f.next_step = file->refused_mend;
    } else if (unusual > 0) {
        bool all = unusual == body;
        f = file_finding(a, all ? "file-set-aside" : "rows-set-aside", all ? MR_WARNING : MR_NOTE, path);
        f.measured = (double)unusual;
        f.what = mr_printf(a->arena, "%s: %llu of %llu rows set aside (%s).", path, (unsigned long long)unusual,
                           (unsigned long long)body, reasons_of(a, account, true));
        f.next_step =
            "See the rows on the sheet Rows set aside; correct the export, or state in the job file how to read it.";
        add_aside_evidence(a, &f, path, account);
    } else {
        return;
    }
    mr_add_finding(a, &f);
}

/* --- findings from diagnostics ----------------------------------------------------------------------- */

struct oddity {
    const struct mr_diag *first;
    size_t n;
    const char *texts; /* of the first few */
};

/* What has a finding of its own above, speaks of single rows that the account counts, or of gaps, which coverage
 * judges where they matter. */
static bool has_own_finding(const char *id) {
    static const char *const own[] = {"unknown-kind", "day-month-order", "date-order", "copy", "unreadable", "gap"};
    for (size_t i = 0; i < MR_COUNT(own); i++)
        if (strcmp(id, own[i]) == 0)
            return true;
    for (int why = 0; why < MR_ASIDE_COUNT; why++)
        if (strcmp(id, mr_aside_word((enum mr_aside)why)) == 0)
            return true;
    return false;
}

static bool same_file(const struct mr_diag *x, const struct mr_diag *y) {
    const char *a = x->place.file == NULL ? "" : x->place.file, *b = y->place.file == NULL ? "" : y->place.file;
    return a == b || strcmp(a, b) == 0;
}

static void find_oddities(struct mr_assess *a) {
    MR_VEC(struct oddity) list = {0};
    for (size_t i = 0; a->aligned->diags != NULL && i < a->aligned->diags->list.n; i++) {
        const struct mr_diag *d = &a->aligned->diags->list.v[i];
        if (d->severity != MR_WARNING || has_own_finding(d->id))
            continue;
        size_t k = 0;
        while (k < list.n && (strcmp(list.v[k].first->id, d->id) != 0 || !same_file(list.v[k].first, d)))
            k++;
        if (k == list.n) {
            struct oddity fresh = {d, 0, d->text == NULL ? "" : mr_printf(a->arena, "\"%s\"", d->text)};
            MR_PUSH(a->arena, &list, fresh);
        } else if (list.v[k].n < 5 && d->text != NULL) {
            list.v[k].texts = mr_printf(a->arena, "%s, \"%s\"", list.v[k].texts, d->text);
        }
        list.v[k].n++;
    }
    for (size_t k = 0; k < list.n; k++) {
        const struct mr_diag *d = list.v[k].first;
        struct mr_finding f = mr_blank_finding(d->id, MR_WARNING, MR_NONE, 0);
        const char *subject = list.v[k].texts[0] != '\0' || d->place.file == NULL ? list.v[k].texts : d->place.file;
        const char *often = list.v[k].n > 1 ? mr_printf(a->arena, " (%zu times)", list.v[k].n) : "";
        f.what = mr_printf(a->arena, "%s%s%s%s.", subject, subject[0] == '\0' ? "" : ": ", d->what, often);
        f.next_step = d->mend;
        f.rule = "what cannot be placed or believed is shown, not dropped";
        f.source = MR_SRC_PD;
        mr_add_evidence(a, &f.evidence, d->place, list.v[k].n > 1 ? "the first of them" : NULL);
        mr_add_finding(a, &f);
    }
}

/* Files that people keep tables in, where their bytes are no text. Photos and drawings prove and disprove nothing. */
static bool may_be_table(const struct mr_source *source) {
    static const char *const endings[] = {"xlsx", "xlsm", "xls", "xlsb", "ods", "csv", "tsv", "txt",
                                          "dat",  "log",  "zip", "gz",   "7z",  "rar", "mdb", "accdb"};
    const char *dot = strrchr(source->path, '.');
    if (source->encoding != MR_ENC_BINARY)
        return source->rows > 1 && (source->n_columns > 1 || (!source->n_columns && source->delimiter));
    for (size_t i = 0; dot && i < MR_COUNT(endings); i++)
        if (mr_text_equal_fold(dot + 1, strlen(dot + 1), endings[i], strlen(endings[i])))
            return true;
    return false;
}

/* Why nothing of a file was taken in, though it may hold rows of the job; NULL where that is not so. */
static const char *not_taken_in(struct mr_assess *a, size_t i) {
    const struct mr_file *file = &a->aligned->data->files.v[i];
    const struct mr_account *account = account_of(a, i);
    const uint64_t unusual = unusual_rows(account);
    if (!file->source->readable)
        return "could not be read";
    if (file->copy_of)
        return NULL;
    if (file->kind == MR_KIND_UNKNOWN || file->kind == MR_KIND_NOT_A_TABLE)
        return may_be_table(file->source) ? "was not recognised" : NULL;
    return unusual && unusual == account->rows_read - account->rows_header ? "every row was set aside" : NULL;
}

/* A file of which nothing was taken in may hold just the rows that fail: the job as a whole is not shown. */
static void judge_taken_in(struct mr_assess *a) {
    struct mr_check c = mr_blank_check("history.inputs", "Files taken in", "history", MR_NONE, 0);
    size_t n = 0;
    for (size_t i = 0; i < a->aligned->data->files.n; i++) {
        const char *why = not_taken_in(a, i);
        if (!why)
            continue;
        mr_add_evidence(a, &c.evidence, (struct mr_place){a->aligned->data->files.v[i].source->path, 0, 0, 0}, why);
        n++;
    }
    c.rule = "every table in the job folder is taken in, or the job file says to ignore it";
    c.source = MR_SRC_PD;
    c.outcome = n ? MR_NOT_SHOWN : MR_CONFORMS;
    c.measured = (double)n;
    c.detail = n ? mr_printf(a->arena, "Nothing was taken in from %s that may hold rows of the job.",
                             mr_count_text(a, n, "file"))
                 : "Something was taken in from every table.";
    mr_add_check(a, &c);
}

void mr_assess_inputs(struct mr_assess *a) {
    judge_taken_in(a);
    for (size_t i = 0; i < a->aligned->data->files.n; i++)
        find_about_file(a, i);
    find_oddities(a);
    add_files(a);
    add_set_aside(a);
    mr_assess_sayings(a);
}
