/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The materials a plan can use, with what they cost and how that is known. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"
#include "present/materials.h"
#include "present/table.h"
#include "present/words.h"

const char *es_basis_word(earshot_basis basis)
{
    switch (basis) {
    case EARSHOT_BASIS_UNSTATED: return "unstated";
    case EARSHOT_BASIS_MEASURED: return "measured";
    case EARSHOT_BASIS_PUBLISHED: return "published";
    case EARSHOT_BASIS_COMPUTED: return "computed";
    case EARSHOT_BASIS_EXTRAPOLATED: return "extrapolated";
    case EARSHOT_BASIS_JUDGEMENT: return "judgement";
    }
    return "unstated";
}

/* ---- sources, each printed once ---- */

typedef struct sources {
    const char **text; /* [n] */
    size_t n;
} sources;

static bool gather_sources(const earshot_plan *plan, sources *s)
{
    *s = (sources){malloc((plan->n_materials + 1) * sizeof *s->text), 0};
    if (!s->text) return false;
    for (size_t i = 0; i < plan->n_materials; i++) {
        const char *source = plan->material[i].source;
        size_t known = 0;
        if (!source) continue;
        while (known < s->n && strcmp(s->text[known], source) != 0) known++;
        if (known == s->n) s->text[s->n++] = source;
    }
    return true;
}

static size_t number_of(const sources *s, const char *source)
{
    for (size_t i = 0; i < s->n; i++)
        if (strcmp(s->text[i], source) == 0) return i + 1;
    return 0;
}

static void write_sources(const sources *s, unsigned width, earshot_text *text)
{
    char number[ES_FIGURE];
    if (s->n) es_text_add(text, "\nSources\n");
    for (size_t i = 0; i < s->n; i++) {
        es_format(number, sizeof number, "%4zu  ", i + 1);
        es_wrap(number, s->text[i], width, text);
    }
}

/* ---- the table ---- */

static void put_material(es_table *table, const earshot_site *site, size_t material, const sources *s)
{
    const earshot_plan *plan = earshot_site_plan(site);
    const earshot_material *m = &plan->material[material];
    char figure[ES_FIGURE];
    earshot_basis basis = EARSHOT_BASIS_UNSTATED;
    es_table_put(table, "%s", m->name);
    es_table_put(table, "%s", m->label ? m->label : "");
    for (size_t i = 0; i < plan->n_bands; i++)
        es_table_put(table, "%s",
                     es_figure(figure, earshot_material_loss_db(site, material, plan->band_hz[i], &basis), 1));
    es_table_put(table, "%s", es_figure(figure, earshot_material_spread_db(site, material), 1));
    es_table_put(table, "%s", es_basis_word(basis));
    if (m->source)
        es_table_put(table, "%zu", number_of(s, m->source));
    else
        es_table_put(table, "%s", "-");
}

void earshot_present_materials(const earshot_site *site, const earshot_look *look, earshot_text *text)
{
    const earshot_plan *plan = earshot_site_plan(site);
    char band[EARSHOT_MAX_BANDS][ES_FIGURE];
    es_column column[EARSHOT_MAX_BANDS + 5] = {
        {.head = "", .head2 = "material", .flexible = true, .comfort = 24},
        {.head = "", .head2 = "", .flexible = true, .comfort = 16, .optional = true},
    };
    size_t n = 2;
    for (size_t i = 0; i < plan->n_bands; i++) {
        es_format(band[i], sizeof band[i], "%.2f", plan->band_hz[i] / 1e6);
        column[n++] = (es_column){.head = band[i], .head2 = "dB", .right = true};
    }
    column[n++] = (es_column){.head = "spread", .head2 = "dB", .right = true};
    column[n++] = (es_column){.head = "", .head2 = "how known"};
    column[n++] = (es_column){.head = "", .head2 = "source", .right = true};
    sources s;
    es_table *table = es_table_new(column, n);
    if (!gather_sources(plan, &s)) text->failed = true;
    for (size_t i = 0; s.text && i < plan->n_materials; i++) put_material(table, site, i, &s);
    es_wrap("",
            "Loss on a straight path, by band in MHz. Spread: its standard deviation from one building to the next.",
            look->width, text);
    es_text_add_char(text, '\n');
    es_table_write(table, look->width, text);
    write_sources(&s, look->width, text);
    es_table_free(table);
    free(s.text);
}
