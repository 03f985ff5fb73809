/*
 * publish.c - one folder, one rename; see publish.h for what is promised.
 */
#include "render/publish/publish.h"

#include "render/publish/beneath.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdatomic.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "milrise/render.h"

enum { SLOTS = 32, NAME_BYTES = 64, NOTE_BYTES = 4096 };

#define REPORTS "reports"
#define REPORT "report"
#define TMP "tmp"
#define NOTE "note"

/* The one list that outlives a call: folders that this process is making, so that an exit path that knows nothing of
 * jobs can remove them. A slot is taken and given back whole, by its own thread. */
static struct {
    atomic_int state; /* 0 free, 1 being filled, 2 may be removed */
    pid_t pid;
    int reports;
    char name[NAME_BYTES];
} slots[SLOTS];

static size_t slot_take(int reports, const char *name) {
    for (size_t i = 0; i < SLOTS; i++) {
        int free_state = 0;
        if (!atomic_compare_exchange_strong(&slots[i].state, &free_state, 1))
            continue;
        slots[i].pid = getpid();
        slots[i].reports = reports;
        snprintf(slots[i].name, sizeof slots[i].name, "%s", name);
        atomic_store(&slots[i].state, 2);
        return i;
    }
    return MR_NONE;
}

static void slot_give(size_t slot) {
    if (slot != MR_NONE)
        atomic_store(&slots[slot].state, 0);
}

void mr_render_discard(void) {
    for (size_t i = 0; i < SLOTS; i++)
        if (atomic_load(&slots[i].state) == 2 && slots[i].pid == getpid()) {
            mr_beneath_remove(slots[i].reports, slots[i].name);
            atomic_store(&slots[i].state, 0);
        }
}

static bool folder_make(struct mr_arena *arena, const char *path) {
    if (mkdir(path, 0777) == 0 || errno == EEXIST)
        return true;
    const char *slash = strrchr(path, '/');
    if (errno != ENOENT || !slash || slash == path)
        return false;
    return folder_make(arena, mr_strndup(arena, path, (size_t)(slash - path))) &&
           (mkdir(path, 0777) == 0 || errno == EEXIST);
}

/* JOB/reports is never a link: what looks like the job's own would be written elsewhere. A folder that a person names
 * may be one. */
static int open_reports(struct mr_publish *pub, const char *job_dir, const char *out_dir) {
    if (out_dir)
        return folder_make(pub->arena, out_dir) ? open(out_dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    const int job = open(job_dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (job < 0)
        return -1;
    const int reports = mr_beneath_folder(job, REPORTS);
    const int error = errno;
    close(job);
    errno = error;
    return reports;
}

static enum mr_status refuse(struct mr_publish *pub, const char *path, const char *mend, const char *what) {
    mr_diag_add(pub->diags, MR_ERROR, "output", (struct mr_place){.file = path}, NULL, mend, "%s", what);
    return MR_E_OUTPUT;
}

/* Where the folder could not be locked, the process number in the name decides whether its run is still at work. */
static bool is_at_work(const char *name) {
    pid_t pid = 0;
    for (const char *p = name + sizeof MR_MAKING_PREFIX - 1; *p >= '0' && *p <= '9' && pid < 100000000; p++)
        pid = pid * 10 + (*p - '0');
    return pid > 0 && (kill(pid, 0) == 0 || errno == EPERM);
}

static void remove_left_over(struct mr_publish *pub, bool locked) {
    mr_name_list names;
    if (!mr_beneath_names(pub->arena, pub->reports, &names))
        return;
    for (size_t i = 0; i < names.n; i++)
        if (strncmp(names.v[i], MR_MAKING_PREFIX, sizeof MR_MAKING_PREFIX - 1) == 0 &&
            (locked || !is_at_work(names.v[i])) && !mr_beneath_remove(pub->reports, names.v[i]))
            mr_diag_add(pub->diags, MR_WARNING, "left-over", (struct mr_place){.file = names.v[i]}, NULL,
                        "Remove it by hand; no report needs it.",
                        "was left by a run that ended early and cannot be removed: %s", strerror(errno));
}

enum mr_status mr_publish_begin(struct mr_publish *pub, struct mr_arena *arena, const char *job_dir,
                                const char *out_dir, struct mr_diags *diags) {
    *pub = (struct mr_publish){.arena = arena, .diags = diags, .making = -1, .report = -1, .slot = MR_NONE};
    pub->out_dir = out_dir ? out_dir : mr_printf(arena, "%s/" REPORTS, job_dir);
    pub->reports = open_reports(pub, job_dir, out_dir);
    if (pub->reports < 0 && errno == ELOOP)
        return refuse(pub, pub->out_dir, "Replace the link by a folder, or name the place with --out FOLDER.",
                      "is a link; reports are never written through one");
    if (pub->reports < 0)
        return mr_output_failed(diags, pub->out_dir, errno);
    const bool locked = mr_folder_lock(pub->reports, true) == 1;
    remove_left_over(pub, locked);
    pub->revisions = mr_revisions_find(arena, pub->reports);
    if (!mr_latest_blocked(pub->reports))
        return MR_OK;
    return refuse(pub, mr_printf(arena, "%s/" MR_LATEST, pub->out_dir),
                  "Rename it; that name belongs to the link to the newest report.", "is a folder or a device");
}

enum mr_status mr_publish_start(struct mr_publish *pub) {
    int error = EEXIST;
    for (unsigned i = 0; i < 1000 && error == EEXIST; i++) {
        pub->making_name = mr_printf(pub->arena, MR_MAKING_PREFIX "%ld-%u", (long)getpid(), i);
        error = mkdirat(pub->reports, pub->making_name, 0777) == 0 ? 0 : errno;
    }
    if (error) {
        pub->making_name = NULL;
        return mr_output_failed(pub->diags, pub->out_dir, error);
    }
    pub->slot = slot_take(pub->reports, pub->making_name);
    pub->making = mr_beneath_open(pub->reports, pub->making_name, O_RDONLY | O_DIRECTORY);
    pub->report = pub->making < 0 ? -1 : mr_beneath_folder(pub->making, REPORT);
    if (pub->report < 0 || mkdirat(pub->making, TMP, 0777) != 0)
        return mr_output_failed(pub->diags, pub->out_dir, errno);
    char note[NOTE_BYTES]; /* room for the note, should the disk fill up */
    memset(note, ' ', sizeof note);
    error = mr_beneath_write(pub->making, NOTE, note, sizeof note);
    if (error)
        return mr_output_failed(pub->diags, pub->out_dir, error);
    pub->tmp_path = mr_printf(pub->arena, "/proc/self/fd/%d/" TMP, pub->making);
    return MR_OK;
}

int mr_publish_room(const struct mr_publish *pub, uint64_t bytes) {
    const int fd = mr_beneath_open(pub->making, "room", O_WRONLY | O_CREAT | O_EXCL);
    if (fd < 0)
        return errno;
    const int error = posix_fallocate(fd, 0, (off_t)bytes);
    close(fd);
    unlinkat(pub->making, "room", 0);
    return error;
}

struct mr_manifest mr_publish_list(const struct mr_publish *pub, long number, const char *content) {
    struct mr_manifest m = {.revision = number};
    snprintf(m.content, sizeof m.content, "%s", content);
    for (size_t i = 0; i < pub->files.n; i++) {
        struct mr_listed_file f = {.path = pub->files.v[i].path};
        memcpy(f.sha256, pub->files.v[i].sha256, sizeof f.sha256);
        MR_PUSH(pub->arena, &m.files, f);
    }
    return m;
}

/* Every file once more, by the list as it stands on the disk. */
static enum mr_status write_list(struct mr_publish *pub, long number, const char *content) {
    const struct mr_manifest m = mr_publish_list(pub, number, content);
    const char *text = mr_manifest_text(pub->arena, &m);
    const int error = mr_beneath_write(pub->report, MR_MANIFEST, text, strlen(text));
    if (error)
        return mr_output_failed(pub->diags, MR_MANIFEST, error);
    struct mr_manifest back;
    errno = 0;
    const char *differs = mr_manifest_read(pub->arena, pub->report, &back) && back.files.n == m.files.n
                              ? mr_manifest_differs(&back, pub->report)
                              : MR_MANIFEST;
    return differs ? mr_output_failed(pub->diags, differs, errno ? errno : EIO) : MR_OK;
}

/* The folders' own entries; some file systems cannot flush a folder, and a rename stands all the same. */
static void flush_folder(int fd) {
    if (fd >= 0 && fsync(fd) != 0)
        errno = 0;
}

static void flush_folders(struct mr_publish *pub) {
    static const char *const below[] = {"charts", "zones", "tables"};
    for (size_t i = 0; i < MR_COUNT(below); i++) {
        const int fd = mr_beneath_open(pub->report, below[i], O_RDONLY | O_DIRECTORY);
        flush_folder(fd);
        if (fd >= 0)
            close(fd);
    }
    flush_folder(pub->report);
}

/* One rename. Where the file system does not know the flag, the plain one refuses a folder that holds anything. */
static int put_in_place(const struct mr_publish *pub, const char *name) {
    if (renameat2(pub->making, REPORT, pub->reports, name, RENAME_NOREPLACE) == 0)
        return 0;
    if (errno != EINVAL && errno != ENOSYS)
        return errno;
    return renameat(pub->making, REPORT, pub->reports, name) == 0 ? 0 : errno;
}

enum mr_status mr_publish_commit(struct mr_publish *pub, long number, const char *content) {
    if (write_list(pub, number, content) != MR_OK)
        return MR_E_OUTPUT;
    flush_folders(pub);
    const char *name = mr_revision_name(pub->arena, number);
    int error = put_in_place(pub, name);
    if (error)
        return mr_output_failed(pub->diags, mr_printf(pub->arena, "%s/%s", pub->out_dir, name), error);
    error = mr_latest_set(pub->arena, pub->reports, pub->making, name);
    if (error) { /* the former report stands: what nobody is pointed at goes */
        if (renameat(pub->reports, name, pub->making, REPORT) != 0)
            mr_beneath_remove(pub->reports, name);
        return mr_output_failed(pub->diags, mr_printf(pub->arena, "%s/" MR_LATEST, pub->out_dir), error);
    }
    flush_folder(pub->reports);
    return MR_OK;
}

enum mr_status mr_publish_relink(struct mr_publish *pub) {
    const char *name = mr_revision_name(pub->arena, pub->revisions.newest.revision);
    if (mr_latest_is(pub->arena, pub->reports, name))
        return MR_OK;
    if (mr_publish_start(pub) != MR_OK)
        return MR_E_OUTPUT;
    const int error = mr_latest_set(pub->arena, pub->reports, pub->making, name);
    return error ? mr_output_failed(pub->diags, mr_printf(pub->arena, "%s/" MR_LATEST, pub->out_dir), error) : MR_OK;
}

/* Into the room that was taken for it before anything else was made. */
static int sign_reserved(const struct mr_publish *pub, const char *text) {
    if (pub->making < 0)
        return ENOENT;
    const int fd = mr_beneath_open(pub->making, NOTE, O_WRONLY);
    if (fd < 0)
        return errno;
    int error = mr_write_fully(fd, text, strlen(text));
    if (!error && ftruncate(fd, (off_t)strlen(text)) != 0)
        error = errno;
    if (!error && fsync(fd) != 0)
        error = errno;
    if (close(fd) != 0 && !error)
        error = errno;
    return error ? error : renameat(pub->making, NOTE, pub->reports, MR_SIGN) != 0 ? errno : 0;
}

static int sign_new(const struct mr_publish *pub, const char *text) {
    const char *beside = mr_printf(pub->arena, MR_MAKING_PREFIX "%ld-sign", (long)getpid());
    int error = mr_beneath_write(pub->reports, beside, text, strlen(text));
    if (!error && renameat(pub->reports, beside, pub->reports, MR_SIGN) != 0)
        error = errno;
    if (error)
        unlinkat(pub->reports, beside, 0);
    return error;
}

static void drop_making(struct mr_publish *pub) {
    slot_give(pub->slot);
    pub->slot = MR_NONE;
    if (pub->making_name)
        mr_beneath_remove(pub->reports, pub->making_name);
    pub->making_name = NULL;
}

void mr_publish_sign(struct mr_publish *pub, const char *text) {
    if (pub->reports < 0)
        return;
    if (!text) {
        struct stat st; /* looked at first: a read-only file system refuses to remove even what is not there */
        if (fstatat(pub->reports, MR_SIGN, &st, AT_SYMLINK_NOFOLLOW) == 0 && unlinkat(pub->reports, MR_SIGN, 0) != 0)
            mr_diag_add(pub->diags, MR_WARNING, "sign", (struct mr_place){.file = MR_SIGN}, NULL,
                        "Remove it by hand; a report was published since.",
                        "is from an earlier run and could not be removed: %s", strerror(errno));
        return;
    }
    int error = sign_reserved(pub, text);
    drop_making(pub); /* its room may be wanted */
    if (error)
        error = sign_new(pub, text);
    if (error)
        mr_diag_add(pub->diags, MR_ERROR, "sign", (struct mr_place){.file = MR_SIGN}, NULL,
                    "Do not use the report in the folder as today's.",
                    "the note that nothing was published could not be left beside the report: %s", strerror(error));
}

void mr_publish_end(struct mr_publish *pub) {
    drop_making(pub);
    int *const open_folders[] = {&pub->report, &pub->making, &pub->reports}; /* the lock goes last */
    for (size_t i = 0; i < MR_COUNT(open_folders); i++) {
        if (*open_folders[i] >= 0)
            close(*open_folders[i]);
        *open_folders[i] = -1;
    }
}
