/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The HTML report: what it says, and that everyone can read it. What needs outside programs (validators, pdftotext)
 * is in tests/cli/report/. */
#include "scene.h"

#include <stdlib.h>
#include <string.h>

static void write_with(const scene *s, const earshot_check *check, size_t n, earshot_language language,
                       earshot_text *html)
{
    const earshot_report_request request = {.check = check,
                                            .n_checks = n,
                                            .map = &s->view,
                                            .n_maps = 1,
                                            .date = "1 May",
                                            .prepared_for = "A & B",
                                            .language = language};
    assert_int_equal(earshot_report_write(&request, NULL, html), EARSHOT_OK);
}

static void write(const scene *s, earshot_language language, earshot_text *html)
{
    write_with(s, &s->check, 1, language, html);
}

static void contains(const earshot_text *html, const char *words)
{
    if (!strstr(html->data, words)) fail_msg("the report lacks: %s", words);
}

static size_t count(const char *text, const char *word)
{
    size_t n = 0;
    for (const char *at = strstr(text, word); at; at = strstr(at + 1, word)) n++;
    return n;
}

static void the_answer_comes_first_and_names_all(void **state)
{
    (void)state;
    scene s;
    earshot_text html = {0};
    scene_new(&s, NULL);
    assert_int_equal(s.check.device[1].verdict, EARSHOT_VERDICT_REPEATER);
    assert_int_equal(s.check.device[2].verdict, EARSHOT_VERDICT_WIRE);
    write(&s, EARSHOT_ENGLISH, &html);
    contains(&html, "1 of 5 devices reach the receiver by radio as they are. For the others we propose: a repeater at "
                    "\xe2\x80\x9cshelf\xe2\x80\x9d for Far corner; a cable for In the vault and Wired already; another "
                    "place for Button in the vault. Every place is tested on site");
    assert_true(strstr(html.data, "What we propose") < strstr(html.data, "How far the receiver hears"));
    assert_true(strstr(html.data, "How far the receiver hears") < strstr(html.data, "Appendix"));
    earshot_text_clear(&html);
    scene_free(&s);
}

static void every_device_has_its_verdict_in_words(void **state)
{
    (void)state;
    scene s;
    earshot_text html = {0};
    scene_new(&s, NULL);
    write(&s, EARSHOT_ENGLISH, &html);
    contains(&html, "Near &amp; clear</th><td class=\"right\">1</td><td class=\"short\">Ground floor</td>"
                    "<td class=\"short\">direct</td>");
    contains(&html, ">repeater, shelf</td>");
    contains(&html, ">wire</td><td class=\"right\">none</td>");
    contains(&html, ">wire, as planned</td>");
    contains(&html, ">wire or another place: it cannot be wired where it is</td>");
    contains(&html, "Why \xe2\x80\x9c"
                    "Far corner\xe2\x80\x9d needs a repeater");
    contains(&html, "guard life");
    contains(&html, "never replaces the walk test");
    earshot_text_clear(&html);
    scene_free(&s);
}

static void scenes_tell_what_would_change(void **state)
{
    (void)state;
    scene s;
    earshot_site *open;
    earshot_error error;
    earshot_text html = {0};
    scene_new(&s, NULL);
    earshot_check check[2] = {s.check};
    assert_int_equal(earshot_site_new(s.plan, "open", &open, &error), EARSHOT_OK);
    assert_int_equal(earshot_check_run(open, EARSHOT_MODEL_DIRECT, 868.3e6, 0, NULL, &check[1], &error), EARSHOT_OK);
    write_with(&s, check, 2, EARSHOT_ENGLISH, &html);
    contains(&html, "\xe2\x80\x9cVault open\xe2\x80\x9d: In the vault would go from wire to direct and Button in the "
                    "vault would go from wire to ");
    contains(&html, "868.30 MHz, open");
    earshot_text_clear(&html);
    earshot_check_clear(&check[1]);
    earshot_site_free(open);
    scene_free(&s);
}

static void it_is_all_german_when_asked(void **state)
{
    (void)state;
    scene s;
    earshot_text html = {0};
    scene_new(&s, NULL);
    write(&s, EARSHOT_GERMAN, &html);
    contains(&html, "<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"de\" xml:lang=\"de\">");
    contains(&html, "1 von 5 Ger\xc3\xa4ten");
    contains(&html, "Holzt\xc3\xbcr"); /* a built-in material */
    assert_null(strstr(html.data, "receiver"));
    assert_null(strstr(html.data, " device"));
    earshot_text_clear(&html);
    scene_free(&s);
}

/* ---- that everyone can read it ---- */

static void headings_descend_one_by_one(void **state)
{
    (void)state;
    scene s;
    earshot_text html = {0};
    int level = 0;
    scene_new(&s, NULL);
    write(&s, EARSHOT_ENGLISH, &html);
    for (const char *at = strstr(html.data, "<h"); at; at = strstr(at + 1, "<h")) {
        if (at[2] < '1' || at[2] > '6') continue;
        assert_true(at[2] - '0' <= level + 1);
        level = at[2] - '0';
    }
    assert_int_equal(count(html.data, "<h1"), 1);
    assert_int_equal(count(html.data, "<main>"), 1);
    contains(&html, "<title>Test &amp; &lt;site&gt;: what the alarm system needs</title>");
    contains(&html, "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>");
    earshot_text_clear(&html);
    scene_free(&s);
}

static void pictures_are_told_and_tables_headed(void **state)
{
    (void)state;
    scene s;
    earshot_text html = {0};
    scene_new(&s, NULL);
    write(&s, EARSHOT_ENGLISH, &html);
    assert_int_equal(count(html.data, "<img "), 4); /* the map, and three that need help */
    assert_int_equal(count(html.data, "<source media=\"(max-width: 40rem)\""), 4);
    assert_int_equal(count(html.data, " alt=\""), 4);
    assert_int_equal(count(html.data, " alt=\"\""), 0);
    contains(&html, " alt=\"Ladder and plan of the path from \xe2\x80\x9cIn the vault\xe2\x80\x9d to the receiver. In "
                    "order: vault (sealed), ");
    assert_int_equal(count(html.data, "<table"), count(html.data, "<caption>"));
    assert_int_equal(count(html.data, "<th>"), 0);
    assert_true(count(html.data, "<th scope=\"col\"") > 10);
    assert_int_equal(count(html.data, "role=\"region\" tabindex=\"0\" aria-label=\""), count(html.data, "<table"));
    earshot_text_clear(&html);
    scene_free(&s);
}

static void nothing_is_loaded_or_run(void **state)
{
    (void)state;
    scene s;
    earshot_text html = {0};
    scene_new(&s, NULL);
    write(&s, EARSHOT_ENGLISH, &html);
    assert_null(strstr(html.data, "<script"));
    assert_null(strstr(html.data, "<link"));
    assert_null(strstr(html.data, "url("));
    assert_int_equal(count(html.data, "http"), 1); /* the XML namespace */
    assert_int_equal(count(html.data, "src=\""), count(html.data, "src=\"data:image/svg+xml;base64,"));
    assert_null(strstr(html.data, "<stairs>"));
    earshot_text_clear(&html);
    scene_free(&s);
}

/* WCAG 2, relative luminance and contrast ratio. */
static double luminance(const char *hex)
{
    static const double SHARE[] = {0.2126, 0.7152, 0.0722};
    const bool brief = strspn(hex, "0123456789abcdef") == 3;
    double sum = 0.0;
    for (size_t i = 0; i < 3; i++) {
        const char digits[] = {hex[brief ? i : 2 * i], hex[brief ? i : 2 * i + 1], '\0'};
        const double v = (double)strtoul(digits, NULL, 16) / 255.0;
        sum += SHARE[i] * (v <= 0.03928 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static void text_stands_out_from_every_ground(void **state)
{
    (void)state;
    scene s;
    earshot_text html = {0};
    double darkest_ground = 1.0, palest_text = 0.0;
    scene_new(&s, NULL);
    write(&s, EARSHOT_ENGLISH, &html);
    *strstr(html.data, "</style>") = '\0';
    for (const char *at = strstr(html.data, "background:#"); at; at = strstr(at + 1, "background:#"))
        darkest_ground = fmin(darkest_ground, luminance(at + strlen("background:#")));
    for (const char *at = strstr(html.data, "color:#"); at; at = strstr(at + 1, "color:#"))
        palest_text = fmax(palest_text, luminance(at + strlen("color:#")));
    assert_true(darkest_ground < 1.0 && palest_text > 0.0);
    assert_true((darkest_ground + 0.05) / (palest_text + 0.05) >= 7.0);
    earshot_text_clear(&html);
    scene_free(&s);
}

/* ---- the call ---- */

static bool stop(void *context, double done)
{
    (void)done;
    ++*(int *)context;
    return false;
}

static void it_stops_when_told_and_leaves_nothing(void **state)
{
    (void)state;
    scene s;
    scene_new(&s, NULL);
    for (int format = 0; format < 2; format++) {
        int calls = 0;
        const earshot_watch watch = {stop, &calls};
        const earshot_report_request request = {
            .check = &s.check, .n_checks = 1, .format = (earshot_report_format)format};
        earshot_text out = {0};
        assert_int_equal(earshot_report_write(&request, &watch, &out), EARSHOT_INTERNAL);
        assert_int_equal(calls, 1);
        assert_int_equal(out.size, 0);
        earshot_text_clear(&out);
    }
    scene_free(&s);
}

static void the_same_plan_gives_the_same_bytes(void **state)
{
    (void)state;
    scene s;
    scene_new(&s, NULL);
    for (int format = 0; format < 2; format++) {
        const earshot_report_request request = {.check = &s.check,
                                                .n_checks = 1,
                                                .map = &s.view,
                                                .n_maps = 1,
                                                .paper = EARSHOT_PAPER_LETTER,
                                                .format = (earshot_report_format)format};
        earshot_text first = {0}, second = {0};
        assert_int_equal(earshot_report_write(&request, NULL, &first), EARSHOT_OK);
        assert_int_equal(earshot_report_write(&request, NULL, &second), EARSHOT_OK);
        assert_int_equal(first.size, second.size);
        assert_memory_equal(first.data, second.data, first.size);
        earshot_text_clear(&first);
        earshot_text_clear(&second);
    }
    scene_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_answer_comes_first_and_names_all),
        cmocka_unit_test(every_device_has_its_verdict_in_words),
        cmocka_unit_test(scenes_tell_what_would_change),
        cmocka_unit_test(it_is_all_german_when_asked),
        cmocka_unit_test(headings_descend_one_by_one),
        cmocka_unit_test(pictures_are_told_and_tables_headed),
        cmocka_unit_test(nothing_is_loaded_or_run),
        cmocka_unit_test(text_stands_out_from_every_ground),
        cmocka_unit_test(it_stops_when_told_and_leaves_nothing),
        cmocka_unit_test(the_same_plan_gives_the_same_bytes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
