/*
 * roll_up.h - all jobs of a share on one page, as a workbook, and as JSON.
 */
#ifndef MILRISE_CLI_ROLL_UP_H
#define MILRISE_CLI_ROLL_UP_H

#include "cli/job_folders.h"
#include "cli/job_state.h"
#include "milrise/table.h"

struct mr_roll_job {
    const char *dir;
    struct mr_job_state state;
    bool reported;      /* by this sweep */
    bool due;           /* its files, or milrise, changed since the last report */
    const char *change; /* since the roll-up before; NULL = none */
};

struct mr_gone_job {
    const char *dir, *state;
};

struct mr_roll_up {
    MR_VEC(struct mr_roll_job) jobs;
    MR_VEC(struct mr_gone_job) gone; /* were in the roll-up before */
    MR_VEC(struct mr_unread_folder) unread;
    MR_VEC(const char *) without_job_file; /* folders that hold exports */
    const char *former_when;               /* of the roll-up before; "" = there is none */
};

/** mr_roll_below - the path of a job below the share, as it stands in the JSON. */
const char *mr_roll_below(struct mr_arena *arena, const char *share, const char *dir);

/** mr_roll_up_compare - fills in what is otherwise than in the roll-up at path. */
void mr_roll_up_compare(struct mr_arena *arena, const char *share, const char *path, struct mr_roll_up *roll);

/* An instrument whose certificate has ended or ends soon, with the jobs that state it. */
struct mr_due_instrument {
    struct mr_certificate certificate;
    int days_left; /* negative: so many days past */
    size_t jobs;
};
typedef MR_VEC(struct mr_due_instrument) mr_due_list;

enum { MR_DUE_SOON_DAYS = 60 };

/** mr_roll_up_due - certificates that end within MR_DUE_SOON_DAYS of now or have ended, the first to end first. now:
 * "2026-05-11 ...". */
mr_due_list mr_roll_up_due(struct mr_arena *arena, const struct mr_roll_up *roll, const char *now);

/** mr_days_open - days from the day on which the oldest open item of a job was found to now; -1 = none. */
int mr_days_open(const struct mr_job_state *state, const char *now);

bool mr_roll_failed(const struct mr_roll_job *job); /* there is no report of it */
bool mr_roll_open(const struct mr_roll_job *job);   /* something does not conform or is not shown */

enum { MR_ROLL_JOBS, MR_ROLL_CHANGES, MR_ROLL_FILM, MR_ROLL_CREWS, MR_ROLL_DUE, MR_ROLL_TABLES };
/** mr_roll_up_tables - jobs, changes, film, crews, certificates: what the workbook and the page show. */
void mr_roll_up_tables(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll, const char *now,
                       const struct mr_table *out[MR_ROLL_TABLES]);

/** mr_roll_up_write - SHARE/roll-up/roll-up.txt, .json, .xlsx and .pdf; compares with the one that is there. Returns:
 * MR_OK; MR_E_OUTPUT with errno. */
enum mr_status mr_roll_up_write(struct mr_arena *arena, const char *share, struct mr_roll_up *roll, const char *now);

#endif
