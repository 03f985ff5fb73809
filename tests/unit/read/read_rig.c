#include "read_rig.h"

#include "read/source/source.h"

#include <string.h>

struct rig {
    struct mr_arena *arena;
    char *text;
    uint64_t calls;
};

static bool put_row(void *ctx, const struct mr_row *row) {
    struct rig *rig = ctx;
    rig->calls++;
    char *line = mr_printf(rig->arena, "\n%c%u", "phb_ox"[row->part], (unsigned)row -> line);
    if (row->line_end != row->line)
        line = mr_printf(rig->arena, "%s-%u", line, (unsigned)row->line_end);
    if (row->broken != MR_BROKEN_NO)
        line = mr_printf(rig->arena, "%s!%s", line, mr_broken_word(row->broken));
    for (size_t i = 0; i < row->n; i++) {
        const char *mark = row->cell[i].quoted ? "\"" : "";
        line = mr_printf(rig->arena, "%s%s%s%s%s", line, i ? "|" : ":", mark,
                         mr_clean_text(rig->arena, row->cell[i].p, row->cell[i].n, 200), mark);
    }
    rig->text = mr_printf(rig->arena, "%s%s", rig->text, line);
    return true;
}

char *rig_source(struct mr_arena *arena, const struct mr_source *source, size_t chunk) {
    struct rig rig = {.arena = arena};
    char delimiter = source->delimiter == '\t' ? 't' : source->delimiter ? source->delimiter : '0';
    rig.text = mr_printf(arena, "%s %c%c %s %u %u %u %zu", mr_encoding_text(source->encoding), delimiter,
                         source->decimal ? source->decimal : '-', source->line_ends, (unsigned)source->header_line,
                         (unsigned)source->units_line, (unsigned)source->first_body_line, source->n_columns);
    if (mr_read_rows_in(source, chunk, put_row, &rig) != MR_OK)
        return mr_printf(arena, "%s\nFAILED", rig.text);
    if (rig.calls != source->rows)
        return mr_printf(arena, "%s\nCALLS %llu ROWS %llu", rig.text, (unsigned long long)rig.calls,
                         (unsigned long long)source->rows);
    return rig.text;
}

char *rig_read(struct mr_arena *arena, const struct mr_job *job, const char *data, size_t n, size_t chunk,
               struct mr_diags *diags) {
    struct mr_source *source = MR_NEW(arena, struct mr_source);
    if (mr_read_memory_in(arena, job ? job : mr_job_default(arena), "t.csv", data, n, chunk, diags, source) != MR_OK)
        return mr_strdup(arena, "NOT DESCRIBED");
    return rig_source(arena, source, chunk);
}

static uint32_t next_code(const char **p) {
    const unsigned char *u = (const unsigned char *)*p;
    size_t more = u[0] < 0x80 ? 0 : u[0] < 0xe0 ? 1 : u[0] < 0xf0 ? 2 : 3;
    uint32_t code = more ? u[0] & (0x3fU >> more) : u[0];
    for (size_t i = 1; i <= more; i++)
        code = code << 6 | (u[i] & 0x3fU);
    *p += more + 1;
    return code;
}

static size_t put_unit(char *out, uint32_t unit, enum mr_encoding encoding) {
    out[encoding == MR_ENC_UTF16BE] = (char)(unit & 0xff);
    out[encoding == MR_ENC_UTF16LE] = (char)(unit >> 8);
    return 2;
}

char *rig_encode(struct mr_arena *arena, const char *text, size_t n, enum mr_encoding encoding, bool bom,
                 size_t *out_n) {
    char *out = mr_alloc(arena, 2 * n + 8, 1);
    size_t used = 0;
    const char *p = text, *end = text + n;
    if (encoding == MR_ENC_UTF8) {
        memcpy(out, bom ? "\xEF\xBB\xBF" : "", bom ? 3 : 0);
        memcpy(out + (bom ? 3 : 0), text, n);
        *out_n = n + (bom ? 3 : 0);
        return out;
    }
    bool wide = encoding == MR_ENC_UTF16LE || encoding == MR_ENC_UTF16BE;
    if (bom && wide)
        used += put_unit(out, 0xfeff, encoding);
    while (p < end) {
        uint32_t code = next_code(&p);
        if (!wide)
            out[used++] = (char)(code == 0x20ac ? 0x80 : code);
        else if (code < 0x10000)
            used += put_unit(out + used, code, encoding);
        else {
            used += put_unit(out + used, 0xd800 + ((code - 0x10000) >> 10), encoding);
            used += put_unit(out + used, 0xdc00 + ((code - 0x10000) & 0x3ff), encoding);
        }
    }
    *out_n = used;
    return out;
}
