/* Arena, diagnostics, key files, whole-file output, tables. */
#include "base/chains.h"
#include "base/keyfile.h"
#include "base/outfile.h"
#include "base/utf8.h"
#include "milrise/table.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

Test(arena, items_are_zeroed_aligned_and_keep_still) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    unsigned char *first = mr_alloc(a, 10, 1);
    memset(first, 7, 10);
    for (int i = 0; i < 10000; i++) {
        unsigned char *p = mr_alloc(a, (size_t)(i % 97), 1);
        cr_assert_eq((uintptr_t)p % _Alignof(max_align_t), 0);
        for (int k = 0; k < i % 97; k++)
            cr_assert_eq(p[k], 0);
    }
    cr_assert_eq(first[9], 7);
    mr_arena_free(a);
}

Test(arena, lists_keep_their_items_while_they_grow) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    MR_VEC(int) small = {0};
    MR_VEC(double) large = {0};
    for (int i = 0; i < 200000; i++) {
        MR_PUSH(a, &small, i);
        MR_PUSH(a, &large, i * 0.5);
    }
    for (int i = 0; i < 200000; i++)
        cr_assert(small.v[i] == i && large.v[i] == i * 0.5);
    size_t before = mr_arena_bytes(a);
    mr_arena_drop(a, large.v);
    cr_assert_lt(mr_arena_bytes(a), before);
    mr_arena_free(a);
}

/* Sizes on both sides of each bound of the arena: items in blocks, items of their own, mapped pages. */
Test(arena, what_is_fitted_keeps_its_bytes_and_can_grow_again) {
    static const size_t sizes[] = {1, 16, 1000, 16368, 16400, 70000, 4194200, 4194400, 9000000};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        for (size_t k = 0; k < i; k++) {
            struct mr_arena *a = mr_arena_new(NULL, NULL);
            const size_t had = sizes[i], keep = sizes[k];
            unsigned char *p = mr_alloc(a, had, 1);
            for (size_t n = 0; n < had; n++)
                p[n] = (unsigned char)(n * 7 + 1);
            const size_t before = mr_arena_bytes(a);
            p = mr_arena_fit(a, p, had, keep);
            if (had >= 16400)
                cr_expect_leq(mr_arena_bytes(a), before - had + keep + 2 * sizeof(max_align_t), "%zu to %zu", had,
                              keep);
            (void)mr_alloc(a, 5000, 1);
            p = mr_arena_grow(a, p, keep, 2 * had);
            for (size_t n = 0; n < 2 * had; n++)
                cr_assert_eq(p[n], n < keep ? (unsigned char)(n * 7 + 1) : 0, "%zu to %zu, at %zu", had, keep, n);
            mr_arena_free(a);
        }
}

static void leave_with_9(void *ctx) {
    (void)ctx;
    _exit(9);
}

Test(arena, exhaustion_calls_the_handler, .exit_code = 9) {
    struct mr_arena *a = mr_arena_new(leave_with_9, NULL);
    mr_arena_fail_at(3);
    for (;;)
        mr_alloc(a, 1, 100000);
}

Test(diag, the_printed_form_names_place_text_and_mend) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    struct mr_diags d;
    mr_diags_init(&d, a);
    mr_diag_add(&d, MR_ERROR, "number", (struct mr_place){.file = "dft.csv", .line = 118, .column = 4},
                "1l2.5\x1b[2J", "Write 112.5.", "is not a number in column \"%s\"", "Reading");
    cr_assert_str_eq(
        mr_diag_line(a, &d.list.v[0]),
        "dft.csv:118:4: error[number]: \"1l2.5\\x1b[2J\" is not a number in column \"Reading\". Write 112.5.");
    mr_diag_add(&d, MR_NOTE, "copy", (struct mr_place){.file = "b.csv"}, NULL, NULL, "is a copy of a.csv");
    cr_assert_str_eq(mr_diag_line(a, &d.list.v[1]), "b.csv: note[copy]: is a copy of a.csv");
    cr_assert_eq(d.count[MR_ERROR], 1);
    mr_arena_free(a);
}

Test(diag, long_and_broken_texts_are_cut_and_cleaned) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    cr_assert_str_eq(mr_clean_text(a, "a\xff\tb", 4, 80), "a\\xff\\x09b");
    cr_assert_str_eq(mr_clean_text(a, "abcdef", 6, 3), "abc…");
    cr_assert_str_eq(mr_clean_text(a, "ab°", 4, 3), "ab…");
    cr_assert_eq(mr_utf8_length("\xed\xa0\x80", 3), 0, "a surrogate is no character");
    cr_assert_eq(mr_utf8_length("\xc0\x80", 2), 0, "an overlong form is no character");
    cr_assert_eq(mr_utf8_valid_prefix("µm\xc2", 4), 3);
    mr_arena_free(a);
}

Test(diag, a_cleaned_text_takes_room_for_itself_and_not_for_the_longest) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    char bytes[40], want[sizeof "\\x01" * sizeof bytes];
    memset(bytes, 1, sizeof bytes);
    for (size_t n = 0; n <= sizeof bytes; n++) { /* on both sides of a quarter of the longest */
        size_t shown = n < 5 ? n : 5;
        *want = '\0';
        for (size_t i = 0; i < shown; i++)
            memcpy(want + 4 * i, "\\x01", 5);
        if (n > shown)
            memcpy(want + 4 * shown, "…", sizeof "…");
        cr_expect_str_eq(mr_clean_text(a, bytes, n, 20), want, "%zu bytes", n);
    }
    size_t before = mr_arena_bytes(a);
    mr_clean_text(a, "a message of a usual length", 27, 4096);
    cr_expect_lt(mr_arena_bytes(a) - before, 256);
    mr_arena_free(a);
}

static enum mr_status parse(struct mr_arena *a, const char *text, struct mr_diags *d, struct mr_keyfile *k) {
    mr_diags_init(d, a);
    return mr_keyfile_parse(a, "x", text, strlen(text), d, k);
}

Test(keyfile, sections_keys_and_places) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    struct mr_diags d;
    struct mr_keyfile k;
    cr_assert_eq(parse(a,
                       "\xef\xbb\xbf# c\r\n[Shift Record \"Tank A\"]\r\n  Time_Zone =  a b # c \r\nq = \" x \"\r\n",
                       &d, &k),
                 MR_OK);
    cr_assert_eq(k.sections.n, 2);
    const struct mr_key_section *s = &k.sections.v[1];
    cr_assert_str_eq(s->name, "shift record");
    cr_assert_str_eq(s->argument, "Tank A");
    cr_assert_str_eq(s->keys.v[0].key, "time zone");
    cr_assert_str_eq(s->keys.v[0].value, "a b # c");
    cr_assert_eq(s->keys.v[0].value_place.line, 3);
    cr_assert_eq(s->keys.v[0].value_place.column, 16);
    cr_assert_str_eq(mr_key_find(s, "q")->value, " x ");
    mr_arena_free(a);
}

Test(keyfile, every_error_is_told_with_its_place) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    struct mr_diags d;
    struct mr_keyfile k;
    cr_assert_eq(parse(a, "[open\nno equals\n = v\n\xff\n[]\n[a \"b]\nok = 1\n", &d, &k), MR_E_SYNTAX);
    static const uint32_t lines[] = {1, 2, 3, 4, 5, 6};
    cr_assert_eq(d.list.n, MR_COUNT(lines));
    for (size_t i = 0; i < d.list.n; i++)
        cr_assert_eq(d.list.v[i].place.line, lines[i]);
    mr_arena_free(a);
}

Test(keyfile, a_misspelt_word_finds_its_neighbour) {
    static const char *const words[] = {"thickness", "climate", "reaction"};
    cr_assert_str_eq(mr_nearest("thikness", words, 3), "thickness");
    cr_assert_str_eq(mr_nearest("climat", words, 3), "climate");
    cr_assert_null(mr_nearest("weather", words, 3));
}

/* Letters that changed places are one slip, not two and not none (optimal string alignment distance, from memory). */
Test(keyfile, letters_that_changed_places_count_once) {
    static const char *const near[] = {"lines"}, *const two[] = {"oen", "ones"};
    cr_assert_str_eq(mr_nearest("liens", near, 1), "lines");
    cr_assert_null(mr_nearest("lisen", near, 1));
    static const char *const same[] = {"linet", "linse"}; /* one letter, or two that changed places: as near */
    cr_assert_str_eq(mr_nearest("lines", same, 2), "linet");
    cr_assert_str_eq(mr_nearest("one", two, 2), "oen");
}

Test(outfile, a_file_is_replaced_whole_or_left_alone) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    char dir[] = "/tmp/milrise-test-XXXXXX";
    cr_assert_not_null(mkdtemp(dir));
    char *path = mr_printf(a, "%s/f", dir), *text;
    size_t n;
    cr_assert_eq(mr_file_write(a, path, "one", 3), MR_OK);
    cr_assert_eq(mr_file_write(a, path, "two!", 4), MR_OK);
    cr_assert_eq(mr_file_slurp(a, path, 100, &text, &n), MR_OK);
    cr_assert(n == 4 && strcmp(text, "two!") == 0);
    cr_assert_eq(mr_file_slurp(a, path, 3, &text, &n), MR_E_RANGE);
    cr_assert_eq(mr_file_slurp(a, dir, 100, &text, &n), MR_E_IO);
    cr_assert_eq(mr_file_write(a, mr_printf(a, "%s/none/f", dir), "x", 1), MR_E_OUTPUT);
    unlink(path);
    cr_assert_eq(rmdir(dir), 0, "nothing may be left beside the file");
    mr_arena_free(a);
}

Test(table, a_number_that_is_none_becomes_a_blank_with_a_reason) {
    struct mr_arena *a = mr_arena_new(NULL, NULL);
    const struct mr_field f[] = {{"n", "n", MR_UNIT_NONE, 0}, {"mean_um", "mean", MR_UNIT_UM, 1}};
    struct mr_table *t = mr_table_new(a, "t", "T", NULL, 2, f);
    mr_table_add(a, t, (struct mr_value[]){mr_v_count(0), mr_v_num(NAN)});
    cr_assert_eq(t->n_rows, 1);
    cr_assert_eq(t->values.v[1].type, MR_V_BLANK);
    cr_assert_str_eq(t->values.v[1].text, "not known");
    mr_arena_free(a);
}

Test(chains, each_key_gives_its_items_in_order_and_unknown_keys_share_one) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const size_t key[] = {2, 0, 2, MR_NONE, 0, 7, 2};
    struct mr_chains c = mr_chains_new(arena, 3, MR_COUNT(key));
    for (size_t i = MR_COUNT(key); i-- > 0;)
        mr_chains_put(&c, key[i], i);
    const size_t of_two[] = {0, 2, 6}, of_none[] = {3, 5};
    size_t at = mr_chains_first(&c, 2);
    for (size_t i = 0; i < MR_COUNT(of_two); i++, at = c.next[at])
        cr_assert_eq(at, of_two[i]);
    cr_expect_eq(at, MR_NONE);
    cr_expect_eq(mr_chains_first(&c, 1), MR_NONE);
    at = mr_chains_first(&c, MR_NONE);
    for (size_t i = 0; i < MR_COUNT(of_none); i++, at = c.next[at])
        cr_assert_eq(at, of_none[i]);
    cr_expect_eq(at, MR_NONE);
    mr_arena_free(arena);
}
