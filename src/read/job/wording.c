/*
 * wording.c - wording/NAME.wording: name of the firm, words of cover and sign-off, headings in another language. The
 * job's own file comes before the built-in one of the same name; a mistake in it is one of the job file.
 */
#include "read/job/job_reader.h"

#include "base/text.h"

#include <string.h>

#define FOLDER "wording/"
#define SUFFIX ".wording"

static const struct mr_text_file *text_of(const struct mr_job *job, const char *name) {
    for (size_t i = 0; i < job->texts.n; i++)
        if (strcmp(job->texts.v[i].name, name) == 0)
            return &job->texts.v[i];
    return mr_template(name);
}

static const char *bare_name(struct mr_arena *arena, const char *path) {
    const size_t n = strlen(path), head = strlen(FOLDER), tail = strlen(SUFFIX);
    if (n <= head + tail || strncmp(path, FOLDER, head) != 0 || strcmp(path + n - tail, SUFFIX) != 0)
        return NULL;
    return mr_strndup(arena, path + head, n - head - tail);
}

static void not_there(struct mr_job_reader *r, const char *name) {
    MR_VEC(const char *) known = {0};
    size_t n;
    const struct mr_text_file *all = mr_templates(&n);
    for (size_t i = 0; i < r->job->texts.n + n; i++) {
        const char *bare =
            bare_name(r->arena, i < r->job->texts.n ? r->job->texts.v[i].name : all[i - r->job->texts.n].name);
        if (bare)
            MR_PUSH(r->arena, &known, bare);
    }
    const char *list = "", *near = mr_nearest(name, known.v, known.n);
    for (size_t i = 0; i < known.n; i++)
        list = mr_printf(r->arena, "%s%s%s", list, i ? ", " : "", known.v[i]);
    r->failed = true;
    mr_diag_add(r->diags, MR_ERROR, "job-file", r->job->settings.v[MR_WORDING].place, name,
                near ? mr_printf(r->arena, "Did you mean %s? There are: %s.", near, list)
                     : mr_printf(r->arena, "There are: %s.", list),
                "is no wording; a job may have its own in " FOLDER "NAME" SUFFIX);
}

static void take_list(struct mr_job_reader *r, const char *text, struct mr_wording *out) {
    while (*text) {
        const size_t n = strcspn(text, ",");
        size_t from = 0, to = n;
        while (from < to && text[from] == ' ')
            from++;
        while (to > from && text[to - 1] == ' ')
            to--;
        if (to > from)
            MR_PUSH(r->arena, &out->roles, mr_strndup(r->arena, text + from, to - from));
        text += n + (text[n] == ',');
    }
}

/* The head of a PNG file (PNG specification, 5.2 and 11.2.2): signature, then IHDR with width and height. */
static bool is_png(const struct mr_text_file *file) {
    static const unsigned char head[] = {0x89, 'P', 'N', 'G', 0x0d, 0x0a, 0x1a, 0x0a,
                                         0,    0,   0,   13,  'I',  'H',  'D',  'R'};
    enum { SIDE_MOST = 4000 };
    const unsigned char *b = (const unsigned char *)file->data;
    if (file->size < 33 || memcmp(b, head, sizeof head) != 0)
        return false;
    const unsigned w = (unsigned)b[16] << 24 | (unsigned)b[17] << 16 | (unsigned)b[18] << 8 | b[19],
                   h = (unsigned)b[20] << 24 | (unsigned)b[21] << 16 | (unsigned)b[22] << 8 | b[23];
    return w > 0 && h > 0 && w <= SIDE_MOST && h <= SIDE_MOST;
}

static void take_logo(struct mr_job_reader *r, const struct mr_key *key, struct mr_wording *out) {
    const char *path = mr_printf(r->arena, FOLDER "%s", key->value);
    for (size_t i = 0; i < r->job->texts.n; i++)
        if (strcmp(r->job->texts.v[i].name, path) == 0)
            out->logo = &r->job->texts.v[i];
    if (!out->logo)
        mr_job_wrong(r, key, "Put the PNG file into the job's folder " FOLDER ", or leave the value empty.",
                     "is not there");
    else if (!is_png(out->logo))
        mr_job_wrong(r, key, "Save the logo as PNG.", "is no PNG file of at most 4000 by 4000 points");
}

static void take_words(struct mr_job_reader *r, const struct mr_key_section *s, struct mr_wording *out) {
    static const char *const known[] = {"language",  "firm",   "address",  "logo", "title",
                                        "statement", "author", "sign off", "roles"};
    const char **texts[] = {&out->language,  &out->firm,   &out->address,  NULL, &out->title,
                            &out->statement, &out->author, &out->sign_off, NULL};
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *key = &s->keys.v[i];
        size_t k = 0;
        while (k < MR_COUNT(known) && strcmp(known[k], key->key) != 0)
            k++;
        if (k == MR_COUNT(known))
            mr_job_unknown(r, key, known, MR_COUNT(known));
        else if (texts[k])
            *texts[k] = key->value;
        else if (k == MR_COUNT(known) - 1)
            take_list(r, key->value, out);
        else if (*key->value)
            take_logo(r, key, out);
    }
}

static void take_headings(struct mr_job_reader *r, const struct mr_key_section *s, struct mr_wording *out) {
    for (size_t i = 0; i < s->keys.n; i++)
        MR_PUSH(r->arena, &out->headings, ((struct mr_word_pair){s->keys.v[i].raw_key, s->keys.v[i].value}));
}

void mr_job_read_wording(struct mr_job_reader *r) {
    static const char *const sections[] = {"cover", "headings"};
    struct mr_wording *w = &r->job->wording;
    const char *name = mr_set_text(&r->job->settings, MR_WORDING);
    const struct mr_text_file *file = text_of(r->job, mr_printf(r->arena, FOLDER "%s" SUFFIX, name));
    struct mr_keyfile keys;
    if (!file) {
        not_there(r, name);
        return;
    }
    w->file = file->name;
    if (mr_keyfile_parse(r->arena, file->name, file->data, file->size, r->diags, &keys) != MR_OK)
        r->failed = true;
    for (size_t i = 0; i < keys.sections.n; i++) {
        const struct mr_key_section *s = &keys.sections.v[i];
        if (strcmp(s->name, "cover") == 0) {
            take_words(r, s, w);
        } else if (strcmp(s->name, "headings") == 0) {
            take_headings(r, s, w);
        } else if (i > 0 || s->keys.n > 0) {
            const char *near = mr_nearest(s->name, sections, MR_COUNT(sections));
            r->failed = true;
            mr_diag_add(r->diags, MR_ERROR, "wording", s->place, s->name,
                        near ? mr_printf(r->arena, "Did you mean [%s]?", near) : "There are [cover] and [headings].",
                        "is not a section of a wording");
        }
    }
}

const char *mr_word(const struct mr_job *job, const char *english) {
    for (size_t i = 0; i < job->wording.headings.n; i++)
        if (strcmp(job->wording.headings.v[i].english, english) == 0)
            return job->wording.headings.v[i].printed;
    return english;
}
