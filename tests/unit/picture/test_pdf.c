/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "scene.h"

#include <stdlib.h>
#include <string.h>

/* A PDF holds NUL bytes: the first or last place of a word by length. */
static const char *find(const earshot_text *pdf, const char *word, bool last)
{
    const size_t n = strlen(word);
    const char *found = NULL;
    for (size_t i = 0; i + n <= pdf->size && (last || !found); i++)
        if (memcmp(pdf->data + i, word, n) == 0) found = pdf->data + i;
    return found;
}

static void draw(const scene *s, size_t n, earshot_text *pdf)
{
    const earshot_picture_look look = {.format = EARSHOT_PICTURE_PDF, .language = EARSHOT_GERMAN};
    const earshot_map_view view[3] = {s->view, s->view, s->view};
    assert_int_equal(earshot_picture_map(s->site, view, n, &look, pdf), EARSHOT_OK);
}

static void every_view_has_a_page(void **state)
{
    (void)state;
    scene s;
    earshot_text pdf = {0};
    scene_new(&s, NULL);
    draw(&s, 3, &pdf);
    assert_non_null(find(&pdf, "/Count 3", false));
    earshot_text_clear(&pdf);
    scene_free(&s);
}

static void language_and_title_are_stated_and_no_date(void **state)
{
    (void)state;
    scene s;
    earshot_text pdf = {0};
    scene_new(&s, NULL);
    draw(&s, 1, &pdf);
    assert_non_null(find(&pdf, "/Lang (de)", false));
    assert_non_null(find(&pdf, "/DisplayDocTitle true", false));
    assert_non_null(find(&pdf, "/Title (Test & <site>", false));
    assert_null(find(&pdf, "Date", false));
    earshot_text_clear(&pdf);
    scene_free(&s);
}

/* What is written behind cairo's own file must be found from its end, as a reader goes. */
static void the_last_section_leads_to_the_new_catalog(void **state)
{
    (void)state;
    scene s;
    earshot_text pdf = {0};
    scene_new(&s, NULL);
    draw(&s, 1, &pdf);
    const char *start = find(&pdf, "startxref", true), *root = find(&pdf, "/Root ", true);
    assert_non_null(start);
    assert_non_null(root);
    const size_t section = strtoul(start + strlen("startxref"), NULL, 10);
    assert_true(section < pdf.size);
    char *end;
    assert_memory_equal(pdf.data + section, "xref\n", 5);
    const unsigned long number = strtoul(pdf.data + section + 5, &end, 10);
    assert_int_equal(number, strtoul(root + strlen("/Root "), NULL, 10));
    const char *entry = strchr(end, '\n') + 1;
    const size_t object = strtoul(entry, NULL, 10);
    assert_true(object < section);
    assert_int_equal(strtoul(pdf.data + object, &end, 10), number);
    assert_memory_equal(end, " 0 obj\n<< /Type /Catalog", 23);
    assert_memory_equal(entry + 10, " 00000 n \n", 10);
    earshot_text_clear(&pdf);
    scene_free(&s);
}

/* A PDF appended to a text that holds something already is still found from its own beginning. */
static void what_was_in_the_text_stays(void **state)
{
    (void)state;
    scene s;
    earshot_text alone = {0}, second = {0};
    scene_new(&s, NULL);
    draw(&s, 1, &alone);
    draw(&s, 1, &second);
    const size_t first = second.size;
    draw(&s, 1, &second);
    assert_int_equal(second.size, 2 * first);
    assert_memory_equal(second.data + first, alone.data, alone.size);
    earshot_text_clear(&alone);
    earshot_text_clear(&second);
    scene_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_view_has_a_page),
        cmocka_unit_test(language_and_title_are_stated_and_no_date),
        cmocka_unit_test(the_last_section_leads_to_the_new_catalog),
        cmocka_unit_test(what_was_in_the_text_stays),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
