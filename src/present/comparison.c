/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bands and scenes side by side, and the words of caution that end every answer. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"
#include "present/table.h"
#include "present/words.h"

enum { NAME_COLUMNS = 20, CHECK_COLUMNS = 17, MOST_CHECKS = 8, HEAD = 40 };

static void put_heads(const earshot_check *check, size_t n, char head[][HEAD], char head2[][HEAD])
{
    bool scenes = false;
    for (size_t i = 0; i < n; i++) scenes |= earshot_site_scene(check[i].site) != NULL;
    for (size_t i = 0; i < n; i++) {
        const char *scene = earshot_site_scene(check[i].site);
        es_format(head[i], HEAD, "%.2f MHz", check[i].frequency_hz / 1e6);
        es_format(head2[i], HEAD, "%s", scene ? scene : scenes ? "as drawn" : "");
    }
}

static void put_rows(es_table *table, const earshot_check *check, size_t n)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    char figure[ES_FIGURE];
    for (size_t device = 0; device < plan->n_devices; device++) {
        es_table_put(table, "%s", plan->device[device].name);
        for (size_t i = 0; i < n; i++) {
            const earshot_decision *d = &check[i].device[device];
            const double dependable_db = d->link.loss.distance_m > 0.0 ? d->link.dependable_db : NAN;
            es_table_put(table, "%6s  %s", es_figure(figure, dependable_db, 1), earshot_verdict_name(d->verdict));
        }
    }
    es_table_put(table, "%s", "heard directly");
    for (size_t i = 0; i < n; i++) es_table_put(table, "%zu of %zu", check[i].n_direct, check[i].n_devices);
}

static void write_block(const earshot_check *check, size_t n, unsigned width, earshot_text *text)
{
    char head[MOST_CHECKS][HEAD], head2[MOST_CHECKS][HEAD];
    es_column column[MOST_CHECKS + 1] = {{.head = "", .head2 = "device", .flexible = true, .comfort = NAME_COLUMNS}};
    put_heads(check, n, head, head2);
    for (size_t i = 0; i < n; i++)
        column[i + 1] = (es_column){.head = head[i], .head2 = head2[i], .flexible = true, .comfort = CHECK_COLUMNS};
    es_table *table = es_table_new(column, n + 1);
    put_rows(table, check, n);
    es_table_write(table, width, text);
    es_table_free(table);
}

void earshot_present_comparison(const earshot_check *check, size_t n_checks, const earshot_look *look,
                                earshot_text *text)
{
    const size_t room = look->width > NAME_COLUMNS ? (look->width - NAME_COLUMNS) / (CHECK_COLUMNS + ES_TABLE_GAP) : 0;
    const size_t most = room > MOST_CHECKS ? MOST_CHECKS : (room ? room : 1);
    es_text_add(text, "Side by side: dependable margin (dB) and verdict\n");
    for (size_t i = 0; i < n_checks; i += most) {
        es_text_add_char(text, '\n');
        write_block(check + i, n_checks - i < most ? n_checks - i : most, look->width, text);
    }
}

void earshot_present_cautions(const earshot_plan *plan, const earshot_look *look, earshot_text *text)
{
    bool guards_life = false;
    for (size_t i = 0; i < plan->n_devices; i++) guards_life |= earshot_kind_is_life_safety(plan->device[i].kind);
    es_wrap("",
            "This is an estimate. It does not replace the walk test: try every device in its place, with doors and "
            "shutters closed, before it is fixed.",
            look->width, text);
    if (guards_life)
        es_wrap("",
                "Some devices guard life (smoke, heat, carbon monoxide, gas, personal attack). Where they go and how "
                "they are joined is "
                "for local codes and licensed practice to say, not for this program.",
                look->width, text);
}
