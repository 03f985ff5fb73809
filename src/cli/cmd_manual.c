/*
 * cmd_manual.c - manual pages and completions out of the tables that --help and the job file's reader use, so that
 * none of them can say something else. Pages are in the man macros (groff_man(7)).
 */
#include "cli/cli.h"

#include "base/buffer.h"
#include "base/setting_range.h"

#include <argp.h>
#include <string.h>

struct manual {
    struct mr_arena *arena;
    const struct mr_command *commands;
    size_t n_commands;
    struct mr_buffer text;
};

static void put(struct manual *m, const char *text) {
    mr_buffer_text(&m->text, text);
}

/* Text of a page: what roff would read as its own is escaped, and a line never begins with a point. */
static void put_roff(struct manual *m, const char *text) {
    for (const char *p = text; *p; p++) {
        if (*p == '\\')
            put(m, "\\e");
        else if (*p == '-')
            put(m, "\\-");
        else if (*p == '.' && (p == text || p[-1] == '\n'))
            put(m, "\\&.");
        else if (*p == '\v')
            put(m, "\n.PP\n");
        else
            mr_buffer_add(&m->text, p, 1);
    }
    put(m, "\n");
}

static void put_head(struct manual *m, const char *name, int section, const char *summary) {
    put(m, mr_printf(m->arena, ".TH %s %d \"\" \"milrise " MR_VERSION "\"\n.SH NAME\n", name, section));
    put_roff(m, mr_printf(m->arena, "%s - %s", name, summary));
}

static void put_options(struct manual *m, const struct mr_command *command) {
    size_t n;
    const struct argp_option *all = mr_cli_option_list(&n);
    if (!*command->options)
        return;
    put(m, ".SH OPTIONS\n");
    for (size_t i = 0; i < n; i++)
        if (strchr(command->options, all[i].key)) {
            put(m, ".TP\n");
            put_roff(m, mr_printf(m->arena, "-%c%s%s, --%s%s%s", all[i].key, all[i].arg ? " " : "",
                                  all[i].arg ? all[i].arg : "", all[i].name, all[i].arg ? "=" : "",
                                  all[i].arg ? all[i].arg : ""));
            put_roff(m, all[i].doc);
        }
}

static void put_command(struct manual *m, const struct mr_command *command) {
    put_head(m, mr_printf(m->arena, "milrise-%s", command->name), 1, command->summary);
    put(m, ".SH SYNOPSIS\n");
    put_roff(m, mr_printf(m->arena, "milrise %s [OPTION...] %s", command->name, command->operands));
    put(m, ".SH DESCRIPTION\n");
    put_roff(m, command->text);
    put_options(m, command);
    put(m, ".SH SEE ALSO\n");
    put_roff(m, "milrise(1), milrise-job(5)");
}

static void put_overview(struct manual *m) {
    put_head(m, "milrise", 1, "batch reports for sprayed two-part ceramic coatings on steel");
    put(m, ".SH SYNOPSIS\nmilrise COMMAND [OPTION...] ...\n.SH COMMANDS\n");
    for (size_t i = 0; i < m->n_commands; i++) {
        put(m, ".TP\n");
        put_roff(m, mr_printf(m->arena, "milrise %s %s", m->commands[i].name, m->commands[i].operands));
        put_roff(m, m->commands[i].summary);
    }
    put(m, ".SH CAUTION\n");
    put_roff(m, "The report assists and does not replace a qualified coating inspector, the supplier's written "
                "instructions, the contract specification, local codes or licensed engineering.");
    put(m, ".SH SEE ALSO\n");
    put_roff(m, "milrise-job(5)");
}

static void put_job_file(struct manual *m) {
    put_head(m, "milrise-job", 5, "the job file of milrise");
    put(m, ".SH DESCRIPTION\n");
    put_roff(m,
             "A job file is UTF-8 text: sections in brackets, `key = value` in each, comments after #. A value "
             "carries its "
             "unit. `milrise new FOLDER` makes one that explains itself. Sections of limits may carry the name of a "
             "specification: [thickness \"tank\"]. Dates and moments, as 2026-05-11 and 2026-05-11 14:30, lie "
             "from " MR_MOMENT_RANGE "; the offset of a clock from " MR_CLOCK_OFFSET_RANGE ".");
    const char *section = "";
    for (size_t i = 0; i < MR_SETTING_COUNT; i++) {
        const struct mr_setting_def *d = &mr_setting_defs[i];
        if (strcmp(section, d->section) != 0)
            put(m, mr_printf(m->arena, ".SH [%s]\n", d->section));
        section = d->section;
        put(m, ".TP\n");
        put_roff(m, mr_printf(m->arena, "%s = %s", d->key, *d->initial ? d->initial : "(no default)"));
        const char *allowed = d->type == MR_SETTING_NUMBER
                                  ? mr_printf(m->arena, "; allowed: %s%s%s",
                                              mr_setting_is_whole((enum mr_setting_id)i) ? "whole numbers, " : "",
                                              mr_setting_range((enum mr_setting_id)i),
                                              mr_setting_may_be_none((enum mr_setting_id)i) ? ", or none" : "")
                                  : "";
        put_roff(m, mr_printf(m->arena, "%s%s; source: %s", d->meaning, allowed, d->source));
    }
}

static void put_completion(struct manual *m, const char *shell) {
    bool bash = strcmp(shell, "bash") == 0, zsh = strcmp(shell, "zsh") == 0;
    if (zsh)
        put(m, "#compdef milrise\nautoload -U +X bashcompinit && bashcompinit\n");
    if (bash || zsh)
        put(m, "_milrise() {\n    local word=${COMP_WORDS[COMP_CWORD]} list=\n    case "
               "${COMP_CWORD}:${COMP_WORDS[1]} in\n"
               "    1:*) list=\"");
    for (size_t i = 0; i < m->n_commands; i++)
        put(m, bash || zsh ? mr_printf(m->arena, "%s%s", i ? " " : "", m->commands[i].name)
                           : mr_printf(m->arena, "complete -c milrise -n __fish_use_subcommand -a %s -d \"%s\"\n",
                                       m->commands[i].name, m->commands[i].summary));
    if (bash || zsh)
        put(m, "\" ;;\n");
    size_t n;
    const struct argp_option *all = mr_cli_option_list(&n);
    for (size_t i = 0; i < m->n_commands; i++) {
        if (bash || zsh)
            put(m, mr_printf(m->arena, "    *:%s) list=\"", m->commands[i].name));
        for (size_t k = 0; k < n; k++)
            if (strchr(m->commands[i].options, all[k].key))
                put(m, bash || zsh
                           ? mr_printf(m->arena, "--%s ", all[k].name)
                           : mr_printf(m->arena,
                                       "complete -c milrise -n \"__fish_seen_subcommand_from %s\" -s %c -l %s%s\n",
                                       m->commands[i].name, all[k].key, all[k].name, all[k].arg ? " -r" : ""));
        if (bash || zsh)
            put(m, "--help\" ;;\n");
    }
    if (bash || zsh)
        put(m,
            "    esac\n    if [ \"$COMP_CWORD\" = 1 ] || [[ $word == -* ]]; then\n"
            "        COMPREPLY=($(compgen -W \"$list\" -- \"$word\"))\n    else\n"
            "        COMPREPLY=($(compgen -f -- \"$word\"))\n    fi\n}\ncomplete -o filenames -F _milrise milrise\n");
}

int mr_cmd_manual(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct manual m = {
        .arena = arena, .text = {.arena = arena}, .commands = o->commands, .n_commands = o->n_commands};
    const char *page = o->paths[0];
    if (strcmp(page, "bash") == 0 || strcmp(page, "zsh") == 0 || strcmp(page, "fish") == 0)
        put_completion(&m, page);
    else if (strcmp(page, "milrise") == 0)
        put_overview(&m);
    else if (strcmp(page, "job") == 0)
        put_job_file(&m);
    for (size_t i = 0; i < m.n_commands; i++)
        if (strcmp(page, m.commands[i].name) == 0)
            put_command(&m, &m.commands[i]);
    if (m.text.v.n == 0) {
        fprintf(stderr,
                "milrise manual: there is no page \"%s\"; there are milrise, job, bash, zsh, fish and one for each "
                "command\n",
                page);
        return MR_EXIT_USAGE;
    }
    return mr_cli_out(mr_buffer_end(&m.text));
}
