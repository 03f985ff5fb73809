#include "cli/broken_note.h"

#include <unistd.h>

void mr_broken_note(struct mr_arena *arena, const char *dir, const char *out, const char *now, const char *why,
                    const char *mend) {
    if (access(mr_printf(arena, "%s/" MR_JOB_FILE, dir), F_OK) != 0)
        return;
    struct mr_diags diags;
    mr_diags_init(&diags, arena);
    mr_diag_add(&diags, MR_ERROR, "broken-off", (struct mr_place){0}, NULL, mend, "%s", why);
    mr_render_not_published(arena, dir, out, now, mr_diag_line(arena, &diags.list.v[0]), &diags);
    const struct mr_answer answer = {
        .dir = dir, .status = MR_E_BUG, .when = now, .version = MR_VERSION, .diags = &diags};
    if (!out && mr_answer_write(arena, &answer, &diags) != MR_OK)
        mr_cli_diags(arena, &diags, MR_ERROR);
}
