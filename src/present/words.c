/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/words.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"

void es_conditions_words(const earshot_check *check, earshot_text *text)
{
    const char *scene = earshot_site_scene(check->site);
    es_text_format(text, "%.2f MHz, %s model", check->frequency_hz / 1e6, earshot_model_name(check->model));
    if (scene) es_text_format(text, ", scene %s", scene);
}

void es_name_words(const char *name, const char *label, earshot_text *text)
{
    es_text_add(text, name);
    if (label) es_text_format(text, " \"%s\"", label);
}

bool es_capacity_applies(const earshot_check *check, size_t capacity)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    const char *radio = plan->receiver[check->receiver].radio;
    return radio && strcmp(plan->capacity[capacity].radio, radio) == 0;
}

unsigned es_capacity_used(const earshot_check *check, size_t capacity)
{
    const earshot_plan *plan = earshot_site_plan(check->site);
    for (size_t i = 0; i < check->n_overloads; i++)
        if (check->overload[i].capacity == capacity) return check->overload[i].needed;
    unsigned used = 0;
    for (size_t i = 0; i < check->n_devices; i++) {
        if (plan->device[i].wiring == EARSHOT_WIRING_MUST) continue;
        used += plan->capacity[capacity].kinds >> plan->device[i].kind & 1u;
    }
    return used;
}

void es_kinds_words(unsigned kinds, earshot_text *text)
{
    bool first = true;
    for (int kind = 0; kind < EARSHOT_KINDS; kind++) {
        if (!(kinds >> kind & 1u)) continue;
        const bool last = kinds >> kind == 1u;
        if (!first) es_text_add(text, last ? " and " : ", ");
        es_text_add(text, earshot_kind_name((earshot_kind)kind));
        first = false;
    }
}

const char *es_figure(char *buffer, double value, int decimals)
{
    if (!isfinite(value)) return "-";
    es_format(buffer, ES_FIGURE, "%.*f", decimals, value);
    /* No "-0.0". */
    if (buffer[0] == '-' && strspn(buffer + 1, "0.") == strlen(buffer + 1)) return buffer + 1;
    return buffer;
}
