/*
 * book_tables.c - a workbook of plain tables, one sheet each: what the roll-up over many jobs needs.
 */
#include "render/book/book_sheets.h"

#include "base/outfile.h"
#include "milrise/render.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

enum { BOOK_MOST = 1 << 30 };

static void put_table(const struct mr_book_job *job, struct mr_table_layout *l) {
    const struct mr_table *t = l->table;
    const double room = mr_page_characters(job->o->letter, false, (unsigned)t->n_fields);
    mr_layout_fit(job->arena, l, room);
    for (size_t i = 0; i < l->pieces.n; i++) {
        const struct mr_piece *p = &l->pieces.v[i];
        struct mr_cell_out *cells = MR_ARRAY(job->arena, struct mr_cell_out, t->n_fields);
        mr_table_head(job, p->sheet, l, p->head_row);
        for (size_t r = p->from; r < p->to; r++) {
            for (size_t c = 0; c < t->n_fields; c++)
                cells[c] = mr_value_cell(job->o, job->arena, t, r, c, true);
            mr_sheet_row(p->sheet, job->arena, p->head_row + 1 + (unsigned)(r - p->from), t->n_fields, cells,
                         l->width);
        }
        if (t->n_rows == 0)
            mr_sheet_text(p->sheet, p->head_row + 1, 0, MR_LOOK_NOTE, "None.");
        const unsigned last = p->head_row + (unsigned)(p->to - p->from), column = (unsigned)t->n_fields - 1;
        double width = 0;
        for (size_t c = 0; c < t->n_fields; c++)
            width += l->width[c];
        mr_sheet_table(p->sheet, p->head_row, last, column, true);
        mr_sheet_print(p->sheet, false, width, t->n_rows ? last : last + 1, column);
        mr_sheet_breaks_across(p->sheet, l->n_pages, l->first);
    }
}

static const char *write_book(struct mr_arena *arena, const char *path, const char *folder,
                              const struct mr_tables_book *what) {
    const struct mr_book_info info = {.title = what->title,
                                      .subject = "",
                                      .company = "",
                                      .comments = mr_printf(arena, "made by milrise %s", what->version),
                                      .created_utc_ms = what->created_utc_ms,
                                      .footer_left = what->title,
                                      .footer_middle = what->footer,
                                      .tmp_dir = folder};
    struct mr_outline outline = {.arena = arena, .offset_text = ""};
    struct mr_book_layout layout = {.arena = arena};
    struct mr_book_job job = {
        .o = &outline, .book = mr_book_open(arena, path, &info), .arena = arena, .layout = &layout};
    if (!job.book)
        return "the workbook could not be started";
    for (size_t i = 0; i < what->n; i++)
        put_table(&job, mr_layout_add(&layout, job.book, &outline, what->tables[i]));
    return mr_book_close(job.book);
}

/* The library opens its file by name and would write through whatever lies there: it gets the name of a new file that
 * is open here. */
enum mr_status mr_render_tables(struct mr_arena *arena, const char *folder, const char *name,
                                const struct mr_tables_book *what, const char **why) {
    const char *made = mr_printf(arena, "%s/.%s.%ld", folder, name, (long)getpid());
    char *bytes = NULL;
    size_t n = 0;
    enum mr_status status = MR_E_OUTPUT;
    *why = "the workbook could not be started";
    unlink(made);
    const int fd = open(made, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0)
        return status;
    *why = write_book(arena, mr_printf(arena, "/proc/self/fd/%d", fd), folder, what);
    if (!*why)
        status = mr_file_slurp_fd(arena, fd, BOOK_MOST, &bytes, &n);
    if (status == MR_OK)
        status = mr_file_write(arena, mr_printf(arena, "%s/%s", folder, name), bytes, n);
    const int error = errno;
    close(fd);
    unlink(made);
    errno = error;
    return status == MR_OK ? MR_OK : MR_E_OUTPUT;
}
