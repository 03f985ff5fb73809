/*
 * report_inputs.c - of report.json: the files with their accounts and fingerprints, and the settings in force.
 */
#include "render/data/report_inputs.h"

#include "base/text.h"
#include "render/data/outline.h"

#include <string.h>

void mr_report_place(struct mr_json *j, const char *key, const struct mr_place *p) {
    if (!p->file) {
        mr_json_null(j, key);
        return;
    }
    mr_json_object(j, key, true);
    mr_json_text(j, "file", p->file);
    if (p->line) {
        mr_json_count(j, "line", p->line);
        mr_json_count(j, "line_end", p->line_end > p->line ? p->line_end : p->line);
    }
    mr_json_end(j);
}

static void put_account(struct mr_json *j, const struct mr_account *acc) {
    mr_json_count(j, "rows_read", (int64_t)acc->rows_read);
    mr_json_count(j, "rows_header", (int64_t)acc->rows_header);
    mr_json_count(j, "rows_used", (int64_t)acc->rows_used);
    mr_json_count(j, "rows_set_aside", (int64_t)acc->rows_set_aside);
    mr_json_array(j, "reasons", false);
    for (int k = 0; k < MR_ASIDE_COUNT; k++) {
        if (acc->by_reason[k] == 0)
            continue;
        mr_json_object(j, NULL, false);
        mr_json_text(j, "reason", mr_aside_word((enum mr_aside)k));
        mr_json_text(j, "meaning", mr_aside_text((enum mr_aside)k));
        mr_json_count(j, "rows", (int64_t)acc->by_reason[k]);
        mr_json_array(j, "lines", true);
        for (size_t i = 0; i < acc->runs.n; i++) {
            if ((int)acc->runs.v[i].why != k)
                continue;
            mr_json_array(j, NULL, true);
            mr_json_count(j, NULL, acc->runs.v[i].line);
            mr_json_count(j, NULL, acc->runs.v[i].line_end);
            mr_json_end(j);
        }
        mr_json_end(j);
        mr_json_end(j);
    }
    mr_json_end(j);
}

void mr_report_inputs(struct mr_json *j, const struct mr_assessment *a) {
    mr_json_array(j, "inputs", false);
    for (size_t i = 0; i < a->aligned->data->files.n; i++) {
        const struct mr_file *f = &a->aligned->data->files.v[i];
        const struct mr_source *s = f->source;
        const char delimiter[2] = {s->delimiter, '\0'};
        mr_json_object(j, NULL, false);
        mr_json_text(j, "path", s->path);
        mr_json_text(j, "sha256", s->sha256[0] ? s->sha256 : NULL);
        mr_json_count(j, "bytes", (int64_t)s->size);
        mr_json_flag(j, "readable", s->readable);
        mr_json_flag(j, "grew_while_read", s->grew);
        mr_json_text(j, "kind", mr_kind_word(f->kind));
        mr_json_text(j, "kind_because", f->kind_why);
        mr_json_text(j, "encoding", mr_encoding_text(s->encoding));
        mr_json_text(j, "delimiter", delimiter);
        mr_json_text(j, "line_ends", s->line_ends);
        mr_json_text(j, "date_order", f->date_order);
        mr_json_text(j, "date_order_because", f->date_why);
        mr_json_text(j, "instrument", f->instrument_name);
        mr_json_text(j, "copy_of", f->copy_of);
        put_account(j, mr_account_of(a, i));
        mr_json_array(j, "columns", false);
        for (size_t c = 0; c < f->n_columns; c++) {
            mr_json_object(j, NULL, true);
            mr_json_text(j, "name", f->columns[c].name);
            mr_json_text(j, "meaning", mr_meaning_word(f->columns[c].meaning));
            mr_json_text(j, "unit", mr_unit_symbol(f->columns[c].unit));
            mr_json_text(j, "unit_because", f->columns[c].unit_why);
            mr_json_end(j);
        }
        mr_json_end(j);
        mr_json_end(j);
    }
    mr_json_end(j);
}

void mr_report_config(struct mr_json *j, const struct mr_job *job) {
    mr_json_array(j, "configuration", false);
    for (size_t i = 0; i < job->config.n; i++) {
        const struct mr_config_file *f = &job->config.v[i];
        mr_json_object(j, NULL, true);
        mr_json_text(j, "path", f->path);
        mr_json_flag(j, "built_in", f->built_in);
        mr_json_count(j, "bytes", (int64_t)f->bytes);
        mr_json_text(j, "sha256", f->sha256);
        mr_json_end(j);
    }
    mr_json_end(j);
}

void mr_report_certificates(struct mr_json *j, const struct mr_job *job) {
    mr_json_array(j, "certificates", false);
    for (size_t i = 0; i < job->instruments.n; i++) {
        const struct mr_instrument *instrument = &job->instruments.v[i];
        const int64_t until = instrument->certified_until_local_ms;
        if (!*instrument->certificate && until == MR_T_NONE)
            continue;
        char date[MR_DATE_TEXT] = "";
        if (until != MR_T_NONE)
            mr_date_text(until, date);
        mr_json_object(j, NULL, true);
        mr_json_text(j, "instrument", instrument->name);
        mr_json_text(j, "certificate", instrument->certificate);
        mr_json_text(j, "until", *date ? date : NULL);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_setting(struct mr_json *j, const char *spec, const struct mr_setting_def *d,
                        const struct mr_setting *s) {
    mr_json_object(j, NULL, true);
    mr_json_text(j, "specification", spec);
    mr_json_text(j, "section", d->section);
    mr_json_text(j, "key", d->key);
    mr_json_text(j, "value", s->set ? s->text : NULL);
    mr_json_text(j, "from", s->from_job ? "job" : "default");
    mr_json_text(j, "meaning", d->meaning);
    mr_json_text(j, "source", d->source);
    mr_report_place(j, "place", &s->place);
    mr_json_end(j);
}

/* The job's own, then of each specification only what it changes. */
void mr_report_settings(struct mr_json *j, const struct mr_job *job) {
    mr_json_array(j, "settings", false);
    for (int i = 0; i < MR_SETTING_COUNT; i++)
        put_setting(j, "", &mr_setting_defs[i], &job->settings.v[i]);
    for (size_t k = 0; k < job->specs.n; k++)
        for (int i = 0; i < MR_SETTING_COUNT; i++) {
            const struct mr_setting *s = &job->specs.v[k].v[i], *own = &job->settings.v[i];
            if (s->set != own->set || strcmp(s->text ? s->text : "", own->text ? own->text : "") != 0)
                put_setting(j, job->specs.v[k].spec, &mr_setting_defs[i], s);
        }
    mr_json_end(j);
}
