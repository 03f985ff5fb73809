#include "base/buffer.h"

#include <stdarg.h>
#include <string.h>

static void make_room(struct mr_buffer *b, size_t n) {
    while (b->v.cap - b->v.n < n)
        b->v.v = mr_vec_room(b->arena, b->v.v, &b->v.cap, 1);
}

void mr_buffer_add(struct mr_buffer *b, const void *data, size_t n) {
    if (n == 0)
        return;
    make_room(b, n);
    memcpy(b->v.v + b->v.n, data, n);
    b->v.n += n;
}

void mr_buffer_text(struct mr_buffer *b, const char *text) {
    mr_buffer_add(b, text, strlen(text));
}

void mr_buffer_put(struct mr_buffer *b, const char *format, ...) {
    va_list args;
    va_start(args, format);
    mr_buffer_text(b, mr_vprintf(b->arena, format, args));
    va_end(args);
}

int mr_buffer_keep(void *ctx, const void *data, size_t n) {
    mr_buffer_add(ctx, data, n);
    return 0;
}

char *mr_buffer_end(struct mr_buffer *b) {
    make_room(b, 1);
    b->v.v[b->v.n] = '\0';
    return b->v.v;
}
