/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/statements.h"

const char *earshot_kind_name(earshot_kind kind)
{
    if ((unsigned)kind >= EARSHOT_KINDS) return NULL;
    return es_kind_words[kind].word;
}

bool earshot_kind_is_life_safety(earshot_kind kind)
{
    return kind == EARSHOT_KIND_SMOKE || kind == EARSHOT_KIND_HEAT || kind == EARSHOT_KIND_CARBON_MONOXIDE ||
           kind == EARSHOT_KIND_GAS || kind == EARSHOT_KIND_PANIC;
}

bool earshot_kind_is_handheld(earshot_kind kind)
{
    return kind == EARSHOT_KIND_FOB || kind == EARSHOT_KIND_PANIC;
}
