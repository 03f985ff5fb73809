#include "read/shape/shape.h"

#include "base/text.h"
#include "read/record/trim.h"
#include "read/shape/blanks.h"
#include "read/shape/header.h"
#include "read/shape/heading.h"

#include <string.h>

enum { PAIR_NAME_MAX = 64 };

static char stated_delimiter(const struct mr_source *source) {
    static const char *const words[MR_DELIMITERS] = {"comma", "semicolon", "tab", "pipe"};
    if (source->rule && strcmp(source->rule->delimiter, "blanks") == 0)
        return MR_BLANKS;
    for (size_t k = 0; source->rule && k < MR_DELIMITERS; k++)
        if (strcmp(source->rule->delimiter, words[k]) == 0)
            return mr_delimiters[k];
    return 0;
}

static struct mr_sample choose(struct mr_arena *scratch, const char *text, size_t n, size_t most,
                               const struct mr_source *source) {
    struct mr_sample taken[MR_DELIMITERS + 1];
    char stated = stated_delimiter(source);
    if (stated && stated != MR_BLANKS)
        return mr_sample_take(scratch, text, n, stated, most);
    for (size_t k = 0; !stated && k <= MR_DELIMITERS; k++)
        taken[k] = mr_sample_take(scratch, text, n, mr_delimiters[k], most);
    size_t best = stated ? MR_DELIMITERS : mr_sample_choose(taken);
    if (best != MR_DELIMITERS && mr_delimiters[best] != ',' && mr_sample_is_divided(&taken[best]))
        return taken[best];
    struct mr_sample blanks = mr_sample_take(scratch, text, n, MR_BLANKS, most);
    const struct mr_sample none = {0};
    size_t k = mr_blanks_columns(&blanks, stated ? &none : &taken[best]);
    if (!k && !stated)
        return taken[best];
    mr_blanks_headers(scratch, &blanks, k, text, n);
    return blanks;
}

struct lines { /* walks over the physical lines of a text */
    const char *at, *end;
    uint32_t line; /* of at */
};

static struct mr_cell line_text(struct lines *lines, uint32_t line) {
    struct mr_cell cell = {.p = ""};
    while (lines->at < lines->end) {
        const char *from = lines->at, *p = from;
        while (p < lines->end && *p != '\n' && *p != '\r')
            p++;
        lines->at = p < lines->end ? p + 1 + (*p == '\r' && p + 1 < lines->end && p[1] == '\n') : p;
        if (lines->line++ == line) {
            mr_trim(&cell, from, (size_t)(p - from));
            break;
        }
    }
    return cell;
}

static bool has_letter(const char *p, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (((p[i] | 0x20) >= 'a' && (p[i] | 0x20) <= 'z') || (p[i] & 0x80))
            return true;
    return false;
}

/* The colon or equals sign between name and value; not the colon of 10:00 or of an address. Returns n where there is
 * none. */
static size_t find_mark(const char *p, size_t n) {
    for (size_t i = 1; i < n; i++) {
        bool clock = p[i] == ':' && mr_is_digit(p[i - 1]) && i + 1 < n && mr_is_digit(p[i + 1]);
        bool address = p[i] == ':' && i + 1 < n && p[i + 1] == '/';
        if ((p[i] == ':' || p[i] == '=') && !clock && !address)
            return i;
    }
    return n;
}

static void add_pair(struct mr_arena *arena, struct mr_source *source, uint32_t line, const char *name, size_t name_n,
                     const char *value, size_t value_n) {
    struct mr_cell a, b;
    mr_trim(&a, name, name_n);
    while (a.n && (a.p[a.n - 1] == ':' || a.p[a.n - 1] == '='))
        mr_trim(&a, a.p, a.n - 1);
    mr_trim(&b, value, value_n);
    while (b.n && source->delimiter && b.p[b.n - 1] == source->delimiter) /* cells that a spreadsheet added */
        mr_trim(&b, b.p, b.n - 1);
    if (!a.n || !b.n || a.n > PAIR_NAME_MAX || !has_letter(a.p, a.n))
        return;
    struct mr_pair pair = {.name = mr_strndup(arena, a.p, a.n),
                           .value = mr_strndup(arena, b.p, b.n),
                           .place = {.file = source->path, .line = line}};
    MR_PUSH(arena, &source->preamble, pair);
}

/* `name: value`, `name = value` or `name,value`, maybe behind a comment mark. raw: the line as it stands. */
static void take_pair(struct mr_arena *arena, struct mr_source *source, const struct mr_sample_row *row,
                      struct mr_cell raw) {
    struct mr_cell first = source->delimiter == MR_BLANKS ? raw : row->cell[0];
    bool quoted = first.quoted;
    if (!quoted) {
        while (raw.n && strchr("#;*/!", *raw.p) && *raw.p)
            mr_trim(&raw, raw.p + 1, raw.n - 1);
        while (first.n && strchr("#;*/!", *first.p) && *first.p)
            mr_trim(&first, first.p + 1, first.n - 1);
    }
    size_t mark = find_mark(first.p, first.n);
    if (mark + 1 < first.n) { /* inside the first cell; the value runs to the end of the line */
        const char *p = quoted ? first.p : raw.p;
        size_t n = quoted ? first.n : raw.n;
        if (mark < n)
            add_pair(arena, source, row->line, p, mark, p + mark + 1, n - mark - 1);
        return;
    }
    size_t last = source->delimiter == MR_BLANKS ? 0 : row->n;
    while (last > 1 && !row->cell[last - 1].n)
        last--;
    if (last < 2) {
        struct mr_cell title;
        mr_trim(&title, quoted ? first.p : raw.p, quoted ? first.n : raw.n);
        struct mr_pair pair = {"",
                               mr_strndup(arena, title.p, title.n < PAIR_NAME_MAX ? title.n : PAIR_NAME_MAX),
                               {.file = source->path, .line = row->line}};
        MR_PUSH(arena, &source->titles, pair);
        return;
    }
    if (last == 2) {
        add_pair(arena, source, row->line, first.p, first.n, row->cell[1].p, row->cell[1].n);
    } else if (!quoted) {
        const char *rest = memchr(raw.p, source->delimiter, raw.n);
        if (rest)
            add_pair(arena, source, row->line, first.p, first.n, rest + 1, raw.n - (size_t)(rest + 1 - raw.p));
    }
}

/* A row of names over a row of values, as some exports put their metadata. */
static bool take_pairs_below(struct mr_arena *arena, struct mr_source *source, const struct mr_sample_row *names,
                             const struct mr_sample_row *values) {
    size_t found = 0;
    if (names->n < 3 || names->n != values->n || names->broken || values->broken || values->blank)
        return false;
    for (size_t j = 0; j < names->n; j++) {
        bool name = !names->cell[j].n || names->kind[j] == MR_CELL_WORD;
        if (!name)
            return false;
        found += values->kind[j] == MR_CELL_NUMBER || values->kind[j] == MR_CELL_TIME;
    }
    for (size_t j = 0; found && j < names->n; j++)
        add_pair(arena, source, values->line, names->cell[j].p, names->cell[j].n, values->cell[j].p,
                 values->cell[j].n);
    return found > 0;
}

static void take_preamble(struct mr_arena *arena, const struct mr_sample *sample, size_t end, const char *text,
                          size_t n, struct mr_source *source) {
    struct lines lines = {.at = text, .end = text + n, .line = 1};
    for (size_t i = 0; i < end; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        if (row->line >= source->above_first && row->line <= source->above_last)
            continue;
        if (i + 1 < end && source->delimiter != MR_BLANKS && take_pairs_below(arena, source, row, row + 1))
            i++;
        else if (!row->blank && !row->broken && row->n)
            take_pair(arena, source, row, line_text(&lines, row->line));
    }
}

static void drop_marks(struct mr_cell *cell) {
    while (cell->n && *cell->p == '#')
        mr_trim(cell, cell->p + 1, cell->n - 1);
}

static void take_columns(struct mr_arena *arena, const struct mr_sample *sample, const struct mr_header *found,
                         struct mr_source *source) {
    struct mr_head *heads = MR_ARRAY(arena, struct mr_head, found->n_columns);
    const struct mr_sample_row *names = found->header != MR_NONE ? &sample->row[found->header] : NULL;
    const struct mr_sample_row *units = found->units != MR_NONE ? &sample->row[found->units] : NULL;
    for (size_t j = 0; j < found->n_columns; j++) {
        struct mr_cell cell = {.p = ""};
        if (names && j < names->n)
            cell = names->cell[j];
        struct mr_cell unit = units && j < units->n ? units->cell[j] : (struct mr_cell){.p = ""};
        if (names && names->comment && j == 0)
            drop_marks(&cell);
        if (units && units->comment && j == 0)
            drop_marks(&unit);
        heads[j] = mr_heading(arena, &cell, unit.n ? &unit : NULL);
    }
    source->columns = heads;
    source->n_columns = found->n_columns;
}

static int digits_of(const struct mr_cell *cell) {
    int n = 0;
    for (uint32_t i = 0; i < cell->n; i++)
        n += mr_is_digit(cell->p[i]);
    return n;
}

/* The decimal mark where the body's numbers leave no doubt, and the decimals of its last column. */
static void take_decimals(const struct mr_sample *sample, const struct mr_header *found, struct mr_source *source) {
    size_t points = 0, commas = 0, last_rows = 0;
    int last = -1, least_digits = 0;
    bool agree = true;
    for (size_t i = found->body; i < sample->n; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        for (size_t j = 0; j < row->n && !row->broken && !row->blank; j++) {
            char mark;
            int decimals;
            if (!mr_number_marks(&row->cell[j], &mark, &decimals))
                continue;
            points += mark == '.';
            commas += mark == ',';
            if (j + 1 == found->n_columns && row->n == found->n_columns && i + 1 < sample->n) {
                agree = agree && (last_rows == 0 || last == decimals);
                last = decimals;
                int digits = digits_of(&row->cell[j]);
                least_digits = !last_rows || digits < least_digits ? digits : least_digits;
                last_rows++;
            }
        }
    }
    source->last_decimals = last_rows >= 2 && agree ? last : -1;
    source->last_digits = last_rows >= 2 ? least_digits : 0;
    source->decimal = points && !commas ? '.' : commas && !points ? ',' : 0;
    if (source->rule && strcmp(source->rule->decimal, "point") == 0)
        source->decimal = '.';
    if (source->rule && strcmp(source->rule->decimal, "comma") == 0)
        source->decimal = ',';
}

/* Rows of the file below the sample, if they are as long as those in it. */
static size_t rows_below(const struct mr_sample *sample, const char *text, size_t n, const struct mr_source *source) {
    bool wide = source->encoding == MR_ENC_UTF16LE || source->encoding == MR_ENC_UTF16BE;
    uint64_t whole = source->size / (wide ? 2 : 1);
    struct lines lines = {.at = text, .end = text + n, .line = 1};
    if (sample->n < MR_SAMPLE_ROWS && whole <= n)
        return 0;
    (void)line_text(&lines, sample->n ? sample->row[sample->n - 1].line_end : 0);
    uint64_t seen = (uint64_t)(lines.at - text);
    return seen && whole > seen ? (size_t)((whole - seen) * sample->n / seen) : 0;
}

void mr_shape_tell(struct mr_arena *arena, struct mr_arena *scratch, const char *text, size_t n,
                   struct mr_source *source) {
    struct mr_sample sample;
    struct mr_header found;
    for (size_t most = MR_SAMPLE_ROWS;; most = MR_SAMPLE_MORE) {
        sample = choose(scratch, text, n, most, source);
        sample.rest = rows_below(&sample, text, n, source);
        found = mr_header_find(scratch, &sample);
        bool table = sample.delimiter && found.body != MR_NONE;
        if (table || sample.n < most || most == MR_SAMPLE_MORE)
            break;
    }
    source->delimiter = sample.delimiter;
    source->last_decimals = -1;
    const struct mr_sample_row *row = sample.row;
    if (found.header != MR_NONE)
        source->header_line = row[found.header].line;
    if (found.units != MR_NONE)
        source->units_line = row[found.units].line;
    if (found.body != MR_NONE)
        source->first_body_line = row[found.body].line;
    else if (found.header != MR_NONE) /* a header and nothing below it */
        source->first_body_line = row[found.units != MR_NONE ? found.units : found.header].line_end + 1;
    if (found.above_first != MR_NONE) {
        source->above_first = row[found.above_first].line;
        source->above_last = row[found.above_last].line_end;
    }
    take_columns(arena, &sample, &found, source);
    size_t above = found.header != MR_NONE ? found.header : found.body != MR_NONE ? found.body : 0;
    take_preamble(arena, &sample, above, text, n, source);
    if (found.body != MR_NONE)
        take_decimals(&sample, &found, source);
}
