#include "base/buffer.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { SHORT_TEXT = 128 }; /* most pieces are written in one go */

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
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    make_room(b, SHORT_TEXT);
    const int n = vsnprintf(b->v.v + b->v.n, SHORT_TEXT, format, args);
    if (n >= SHORT_TEXT) {
        make_room(b, (size_t)n + 1);
        vsnprintf(b->v.v + b->v.n, (size_t)n + 1, format, again);
    }
    b->v.n += n > 0 ? (size_t)n : 0;
    va_end(again);
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
