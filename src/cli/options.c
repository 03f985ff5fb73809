/*
 * options.c - command lines through argp: `milrise COMMAND [OPTION...] OPERAND...`. Each subcommand gets only the
 * options it takes, so its help shows nothing that does not apply.
 */
#include "cli/cli.h"

#include <argp.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

static const struct argp_option all_options[] = {
    {"job", 'j', "FOLDER", 0, "take the job file of this folder into account", 0},
    {"json", 'J', NULL, 0, "print JSON", 0},
    {"out", 'o', "FOLDER", 0, "publish here instead of JOB/reports", 0},
    {"quiet", 'q', NULL, 0, "print neither diagnostics, the verdict table nor progress", 0},
    {"stage", 's', "STAGE", 0, "read, normalise, align or assess", 0},
    {"stamp", 'S', "WHEN", 0, "date to print on the report, or \"now\"; by default from the job or the data", 0},
    {"settle", 'w', "SECONDS", 0, "seconds that a folder must stay unchanged before it is reported; default 5", 0},
    {"poll", 'p', "SECONDS", 0, "check at intervals instead of by inotify, as on a network share", 0},
    {"jobs", 'N', "N", 0, "reports at the same time; by default one per processor", 0},
    {"time", 'T', "SECONDS", 0, "seconds after which a report is ended; default 900", 0},
    {"memory", 'M', "MIB", 0, "MiB of memory beyond which a report is ended; default 4096", 0},
    {"plan", 'P', NULL, 0, "report on nothing; list the jobs that are due, one on a line, the largest first", 0},
    {"collect", 'C', NULL, 0, "report on nothing; roll up what the last reports say", 0},
    {"no-roll-up", 'R', NULL, 0, "report on what is due and leave the roll-up to a later --collect", 0},
    {"us", 'u', NULL, 0, "US units: mil, degree Fahrenheit, psi", 0},
    {"threads", 't', "N", 0, "threads; by default one per processor", 0},
    {"no-charts", 'n', NULL, 0, "workbook and report.json only", 0},
    {"zone", 'z', "NAME", 0, "only this zone, by name or alias; may be given several times", 0},
    {"kind", 'k', "KIND", 0, "which figure; without it the kinds are listed", 0},
    {"size", 'Z', "SIZE", 0, "its size by name, as listed; by default as in the report", 0},
    {"format", 'f', "FORMAT", 0, "pdf, svg or png; default pdf", 0},
    {"to", 'd', "FOLDER", 0,
     "put the file into this folder; by default where you are, or, inside JOB, into its reports", 0},
};

const struct argp_option *mr_cli_option_list(size_t *out_n) {
    *out_n = MR_COUNT(all_options);
    return all_options;
}

struct parse {
    const struct mr_command *command;
    struct mr_cli_options *out;
};

static unsigned number_of(struct argp_state *state, const char *arg, const char *option, unsigned most) {
    char *end;
    unsigned long n = strtoul(arg, &end, 10);
    if (*end || n < 1 || n > most)
        argp_error(state, "--%s takes a whole number from 1 to %u, not \"%s\"", option, most, arg);
    return (unsigned)n;
}

static bool take_flag(int key, struct mr_cli_options *o) {
    const struct {
        int key;
        bool *flag;
    } flags[] = {{'J', &o->json}, {'q', &o->quiet},   {'u', &o->us},        {'n', &o->no_charts},
                 {'P', &o->plan}, {'C', &o->collect}, {'R', &o->no_roll_up}};
    for (size_t i = 0; i < MR_COUNT(flags); i++)
        if (flags[i].key == key)
            return *flags[i].flag = true;
    return false;
}

static bool take_text(int key, char *arg, struct mr_cli_options *o) {
    const struct {
        int key;
        const char **text;
    } texts[] = {{'j', &o->job},  {'o', &o->out},  {'s', &o->stage},  {'S', &o->stamp},
                 {'k', &o->kind}, {'Z', &o->size}, {'f', &o->format}, {'d', &o->to}};
    for (size_t i = 0; i < MR_COUNT(texts); i++)
        if (texts[i].key == key) {
            *texts[i].text = arg;
            return true;
        }
    return false;
}

static error_t take(int key, char *arg, struct argp_state *state) {
    struct parse *p = state->input;
    struct mr_cli_options *o = p->out;
    switch (key) {
    case 'z':
        if (o->n_zones == MR_COUNT(o->zones))
            argp_error(state, "--zone may be given %zu times at most", MR_COUNT(o->zones));
        o->zones[o->n_zones++] = arg;
        break;
    case 't':
    case 'N':
        o->threads = number_of(state, arg, key == 't' ? "threads" : "jobs", 256);
        break;
    case 'w':
        o->settle_s = number_of(state, arg, "settle", 86400);
        break;
    case 'p':
        o->poll_s = number_of(state, arg, "poll", 86400);
        break;
    case 'T':
        o->limit_s = number_of(state, arg, "time", 604800);
        break;
    case 'M':
        o->limit_mib = number_of(state, arg, "memory", 1 << 24);
        break;
    case ARGP_KEY_ARGS:
        o->paths = state->argv + state->next;
        o->n_paths = state->argc - state->next;
        break;
    case ARGP_KEY_END:
        if (o->n_paths < p->command->least || (p->command->most >= 0 && o->n_paths > p->command->most))
            argp_error(state, "%s is wanted", p->command->operands);
        break;
    default:
        return take_flag(key, o) || take_text(key, arg, o) ? 0 : ARGP_ERR_UNKNOWN;
    }
    return 0;
}

int mr_cli_parse(const struct mr_command *command, int argc, char **argv, struct mr_cli_options *out) {
    struct argp_option options[MR_COUNT(all_options) + 1];
    size_t n = 0;
    for (size_t i = 0; i < MR_COUNT(all_options); i++)
        if (strchr(command->options, all_options[i].key))
            options[n++] = all_options[i];
    options[n] = (struct argp_option){0};
    struct argp argp = {options, take, command->operands, command->text, NULL, NULL, NULL};
    struct parse p = {command, out};
    char name[64];
    snprintf(name, sizeof name, "milrise %s", command->name);
    argv[0] = name;
    argp_err_exit_status = MR_EXIT_USAGE;
    out->command = command->name;
    const int error = argp_parse(&argp, argc, argv, 0, NULL, &p);
    if (error == ENOMEM) {
        fprintf(stderr, "milrise: memory ran out; nothing was published\n");
        return MR_EXIT_BUG;
    }
    return error ? MR_EXIT_USAGE : -1;
}
