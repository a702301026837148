/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "earshot/picture.h"

bool earshot_pictures_built_in(void)
{
    return true;
}
