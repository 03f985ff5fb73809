/*
 * test_encodings.c - one table in every encoding, and what is told about bytes that are none.
 */
#include "read_rig.h"

#include <criterion/criterion.h>
#include <string.h>

static const char table[] = "Datum;Höhe;Film [µm]\r\n11.05.2026;\"5 €\";127,5\r\n11.05.2026;Brücke;131,0\r\n";
static const char rows[] = "\nh1:Datum|Höhe|Film [µm]\nb2:11.05.2026|\"5 €\"|127,5\nb3:11.05.2026|Brücke|131,0";

static struct mr_job *job_with(struct mr_arena *arena, const char *encoding, const char *delimiter) {
    struct mr_job *job = MR_NEW(arena, struct mr_job);
    *job = *mr_job_default(arena);
    struct mr_file_rule rule = {.glob = "*",
                                .kind = "",
                                .encoding = encoding,
                                .delimiter = delimiter,
                                .decimal = "",
                                .dates = "",
                                .time_zone = "",
                                .instrument = "",
                                .missing = "",
                                .columns = ""};
    MR_PUSH(arena, &job->file_rules, rule);
    return job;
}

Test(encodings, one_table_reads_the_same_in_each_of_them) {
    static const struct {
        enum mr_encoding encoding;
        bool bom;
        const char *stated;
    } cases[] = {
        {MR_ENC_UTF8, false, ""},
        {MR_ENC_UTF8, true, ""},
        {MR_ENC_UTF16LE, true, ""},
        {MR_ENC_UTF16BE, true, ""},
        {MR_ENC_UTF16LE, false, ""},
        {MR_ENC_UTF16BE, false, ""},
        {MR_ENC_CP1252, false, ""},
        {MR_ENC_CP1252, false, "windows-1252"},
        {MR_ENC_UTF16LE, false, "utf-16le"},
        {MR_ENC_UTF16BE, false, "utf-16be"},
        {MR_ENC_UTF8, true, "utf-8"},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++)
        for (size_t chunk = 1; chunk < 12; chunk++) {
            struct mr_arena *arena = mr_arena_new(NULL, NULL);
            size_t n;
            char *bytes = rig_encode(arena, table, strlen(table), cases[i].encoding, cases[i].bom, &n);
            char *got = rig_read(arena, job_with(arena, cases[i].stated, ""), bytes, n, chunk, NULL);
            char *want = mr_printf(arena, "%s ;, CRLF 1 0 2 3%s", mr_encoding_text(cases[i].encoding), rows);
            cr_expect_str_eq(got, want, "case %zu in chunks of %zu:\n%s", i, chunk, got);
            mr_arena_free(arena);
        }
}

/* Windows-1252 and Latin-1 differ between 80 and 9F only. Source: Unicode Consortium, CP1252.TXT; ISO/IEC 8859-1. */
Test(encodings, windows_1252_and_latin_1_differ_where_their_tables_do) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    static const char bytes[] = "a,b\n\x80\x9C\xE4,1\n\x96,2\n";
    cr_expect_str_eq(rig_read(arena, NULL, bytes, strlen(bytes), 7, NULL),
                     "Windows-1252 ,- LF 1 0 2 2\nh1:a|b\nb2:\u20AC\u0153\u00E4|1\nb3:\u2013|2");
    cr_expect_str_eq(rig_read(arena, job_with(arena, "latin-1", ""), bytes, strlen(bytes), 7, NULL),
                     "Latin-1 ,- LF 1 0 2 2\nh1:a|b\nb2:\xC2\x80\xC2\x9C\xC3\xA4|1\nb3:\xC2\x96|2");
    mr_arena_free(arena);
}

Test(encodings, bytes_that_are_no_text_set_their_row_aside) {
    static const struct {
        const char *name, *bytes;
        size_t n;
        const char *expected;
    } cases[] = {
#define BYTES(s) s, sizeof(s) - 1
        {"undefined in Windows-1252", BYTES("a,b\n\x81,1\n\xE4,2\n3,4\n"),
         "Windows-1252 ,- LF 1 0 3 2\nh1:a|b\nx2!bytes:?|1\nb3:\u00E4|2\nb4:3|4"},
        {"UTF-8 cut at the end of the file", BYTES("\xC3\xA4,b\n\xC3\xB6,1\n2,3\n4,\xC3"),
         "UTF-8 ,- LF 1 0 2 2\nh1:\u00E4|b\nb2:\u00F6|1\nb3:2|3\nx4!bytes:4|?"},
        {"lone high surrogate",
         BYTES("\xFF\xFE"
               "a\0,\0b\0\n\0\x00\xD8,\0"
               "1\0\n\0"
               "2\0,\0"
               "3\0\n\0"),
         "UTF-16LE ,- LF 1 0 3 2\nh1:a|b\nx2!bytes:?|1\nb3:2|3"},
        {"lone low surrogate",
         BYTES("\xFE\xFF\0a\0,\0b\0\n\xDC\x00\0,\0"
               "1\0\n\0"
               "2\0,\0"
               "3\0\n"),
         "UTF-16BE ,- LF 1 0 3 2\nh1:a|b\nx2!bytes:?|1\nb3:2|3"},
        {"odd byte at the end",
         BYTES("\xFF\xFE"
               "a\0,\0b\0\n\0"
               "2\0,\0"
               "3\0\n\0x"),
         "UTF-16LE ,- LF 1 0 2 2\nh1:a|b\nb2:2|3\nx3!half:?"},
        {"a pair of surrogates is one character",
         BYTES("\xFF\xFE"
               "a\0,\0b\0\n\0\x3D\xD8\x00\xDE,\0"
               "1\0\n\0"),
         "UTF-16LE ,- LF 1 0 2 2\nh1:a|b\nb2:\U0001F600|1"},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++)
        for (size_t chunk = 1; chunk < 9; chunk++) {
            struct mr_arena *arena = mr_arena_new(NULL, NULL);
            char *got = rig_read(arena, NULL, cases[i].bytes, cases[i].n, chunk, NULL);
            cr_expect_str_eq(got, cases[i].expected, "%s, in chunks of %zu:\n%s", cases[i].name, chunk, got);
            mr_arena_free(arena);
        }
}

/* Signatures: PKWARE APPNOTE 4.3.7; ISO 32000-1 7.5.2; PNG (ISO/IEC 15948) 5.2; RFC 1952 2.3.1. */
Test(encodings, what_is_no_text_is_refused_and_named) {
    static const struct {
        const char *bytes;
        size_t n;
        const char *why;
    } cases[] = {
        {"PK\3\4\x14\0\6\0", 8, "a ZIP archive or an .xlsx workbook"},
        {"%PDF-1.7\n", 9, "a PDF document"},
        {"\x89PNG\r\n\x1A\n", 8, "a PNG picture"},
        {"\x1F\x8B\x08\0\0\0", 6, "a gzip archive"},
        {"\1\2\3\4\5\6\7\1\2\3", 10, "control characters"},
        {"\0\0\0\0\0\0\0\0\0\0\0\0", 12, "NULs"},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct mr_diags diags;
        struct mr_source source;
        mr_diags_init(&diags, arena);
        cr_assert_eq(mr_read_memory(arena, mr_job_default(arena), "x", cases[i].bytes, cases[i].n, &diags, &source),
                     MR_OK);
        cr_expect_eq(source.encoding, MR_ENC_BINARY, "case %zu", i);
        cr_expect(strstr(source.encoding_why, cases[i].why), "case %zu: %s", i, source.encoding_why);
        cr_assert_eq(diags.list.n, 1);
        cr_expect_str_eq(diags.list.v[0].id, "binary");
        cr_expect_eq(source.rows, 0);
        mr_arena_free(arena);
    }
}

Test(encodings, the_job_file_may_state_the_delimiter) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    static const char text[] = "a;b\n1,5;2,5\n1,6;2,6\n";
    cr_expect_str_eq(rig_read(arena, job_with(arena, "", "comma"), text, strlen(text), 99, NULL),
                     "UTF-8 ,- LF 0 0 2 3\np1:a;b\nb2:1|5;2|5\nb3:1|6;2|6");
    mr_arena_free(arena);
}

/* Test vectors: FIPS 180-4 examples (NIST), "abc" and the empty message. */
Test(encodings, the_fingerprint_is_sha_256) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_source source;
    cr_assert_eq(mr_read_memory(arena, mr_job_default(arena), "x", "abc", 3, NULL, &source), MR_OK);
    cr_expect_str_eq(source.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    cr_assert_eq(mr_read_memory(arena, mr_job_default(arena), "x", "", 0, NULL, &source), MR_OK);
    cr_expect_str_eq(source.sha256, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    mr_arena_free(arena);
}
