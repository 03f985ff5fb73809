/*
 * sayings.c - what the files say in words that no rule judges. A remark may bear on the film, and only a person can
 * tell: so each is shown where it stands, and a report that passes over one has shown it first.
 */
#include "assess/report/provenance.h"

#include <string.h>

static const char *where_of(const struct mr_saying *s) {
    return *s->name ? s->name : "line beside the table";
}

static void add_rows(struct mr_assess *a, struct mr_table *table, const struct mr_file *file) {
    for (size_t i = 0; i < file->sayings.n; i++) {
        const struct mr_saying *s = &file->sayings.v[i];
        struct mr_value v[] = {mr_v_text(file->source->path), s->text ? mr_v_count(s->line) : mr_v_blank(""),
                               mr_v_text(where_of(s)), mr_v_text(s->text ? s->text : "further texts"),
                               mr_v_count((int64_t)s->cells)};
        mr_table_add(a->arena, table, v);
    }
}

static void tell(struct mr_assess *a, const struct mr_file *file) {
    enum { QUOTED_MOST = 5 };
    struct mr_finding f = mr_blank_finding("words-unjudged", MR_NOTE, MR_NONE, 0);
    const char *list = "";
    uint64_t further = 0;
    for (size_t i = 0; i < file->sayings.n; i++) {
        const struct mr_saying *s = &file->sayings.v[i];
        if (!s->text || i >= QUOTED_MOST) {
            further++;
            continue;
        }
        list = mr_printf(a->arena, "%s%s%s%s\"%s\"", list, *list ? "; " : "", s->name, *s->name ? ": " : "",
                         mr_clean_text(a->arena, s->text, strlen(s->text), 80));
        mr_add_evidence(a, &f.evidence, (struct mr_place){file->source->path, s->line, s->line, 0}, "the words");
    }
    f.what = mr_printf(a->arena, "%s says in words that no rule judges: %s%s.", file->source->path, list,
                       further ? "; and more" : "");
    f.rule = "words that no rule judges are read by a person";
    f.source = MR_SRC_PD;
    f.next_step = "Read them. If they bear on the work, measure again or correct the file; the table Words has all.";
    mr_add_finding(a, &f);
}

void mr_assess_sayings(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"path", "File", MR_UNIT_NONE, 0},    {"line", "First line", MR_UNIT_NONE, 0},
        {"where", "Column", MR_UNIT_NONE, 0}, {"text", "Words", MR_UNIT_NONE, 0},
        {"cells", "Rows", MR_UNIT_NONE, 0},
    };
    struct mr_table *table = mr_table_new(a->arena, "words", "Words",
                                          "What the files say in words that no rule judges: lines beside their "
                                          "tables, and columns that are not read. A person reads them.",
                                          MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->aligned->data->files.n; i++) {
        const struct mr_file *file = &a->aligned->data->files.v[i];
        if (!file->sayings.n)
            continue;
        add_rows(a, table, file);
        tell(a, file);
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}
