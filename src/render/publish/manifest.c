#include "render/publish/manifest.h"

#include "base/buffer.h"
#include "base/text.h"
#include "render/publish/beneath.h"

#include <string.h>

enum { TEXT_MOST = 64 << 20, HEX = 64, NUMBER_DIGITS = 9 };

#define HEAD_REVISION "# milrise revision "
#define HEAD_CONTENT "# content "

const char *mr_manifest_text(struct mr_arena *arena, const struct mr_manifest *m) {
    struct mr_buffer out = {.arena = arena};
    const char *piece = mr_printf(arena, HEAD_REVISION "%ld\n" HEAD_CONTENT "%s\n", m->revision, m->content);
    for (size_t i = 0;; i++) {
        mr_buffer_text(&out, piece);
        if (i == m->files.n)
            break;
        piece = mr_printf(arena, "%s  %s\n", m->files.v[i].sha256, m->files.v[i].path);
    }
    return mr_buffer_end(&out);
}

static bool is_hex(const char *text) {
    return strspn(text, "0123456789abcdef") == HEX;
}

static bool read_revision(const char *line, long *out) {
    const char *digits = line + strlen(HEAD_REVISION);
    const size_t n = strlen(digits);
    if (n == 0 || n > NUMBER_DIGITS)
        return false;
    *out = 0;
    for (size_t i = 0; i < n; i++) {
        if (!mr_is_digit(digits[i]))
            return false;
        *out = *out * 10 + (digits[i] - '0');
    }
    return true;
}

static bool read_line(struct mr_arena *arena, size_t number, char *line, struct mr_manifest *out) {
    if (number == 0)
        return strncmp(line, HEAD_REVISION, strlen(HEAD_REVISION)) == 0 && read_revision(line, &out->revision);
    if (number == 1) {
        const char *hex = line + strlen(HEAD_CONTENT);
        if (strncmp(line, HEAD_CONTENT, strlen(HEAD_CONTENT)) != 0 || !is_hex(hex) || hex[HEX])
            return false;
        memcpy(out->content, hex, HEX + 1);
        return true;
    }
    if (!is_hex(line) || line[HEX] != ' ' || line[HEX + 1] != ' ' || !line[HEX + 2])
        return false;
    struct mr_listed_file f = {.path = line + HEX + 2};
    memcpy(f.sha256, line, HEX);
    MR_PUSH(arena, &out->files, f);
    return true;
}

bool mr_manifest_read(struct mr_arena *arena, int folder, struct mr_manifest *out) {
    *out = (struct mr_manifest){0};
    char *line = mr_beneath_read(arena, folder, MR_MANIFEST, TEXT_MOST);
    if (!line)
        return false;
    size_t number = 0;
    for (; *line; number++) {
        char *end = strchr(line, '\n');
        if (!end)
            return false;
        *end = '\0';
        if (!read_line(arena, number, line, out))
            return false;
        line = end + 1;
    }
    return number > 2;
}

const char *mr_manifest_differs(const struct mr_manifest *m, int folder) {
    for (size_t i = 0; i < m->files.n; i++) {
        char sha256[65];
        uint64_t bytes;
        if (!mr_beneath_digest(folder, m->files.v[i].path, sha256, &bytes) ||
            strcmp(sha256, m->files.v[i].sha256) != 0)
            return m->files.v[i].path;
    }
    return NULL;
}
