/*
 * report_before.c - the only user of jansson.
 */
#include "render/data/report_before.h"

#include <fcntl.h>
#include <jansson.h>
#include <unistd.h>

void mr_report_before(struct mr_publish *pub) {
    int fd = open(mr_printf(pub->arena, "%s/report.json", pub->out_dir), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (fd < 0)
        return;
    json_t *root = json_loadfd(fd, JSON_REJECT_DUPLICATES, NULL);
    close(fd);
    const json_t *list = json_object_get(root, "outputs");
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *item = json_array_get(list, i);
        const char *path = json_string_value(json_object_get(item, "path"));
        const char *sha256 = json_string_value(json_object_get(item, "sha256"));
        if (path && sha256)
            mr_publish_stale(pub, path, sha256);
    }
    json_decref(root);
}
