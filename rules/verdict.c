#include "verdict.h"

#include <string.h>

static const char *const names[WEIGHTS] = {"note", "fix", "stop"};

const char *
weight_name(enum weight weight)
{
    return names[weight];
}

enum weight
weight_find(const char *name)
{
    int i = 0;

    while (i < WEIGHTS && strcmp(names[i], name) != 0)
        i++;
    return (enum weight)i;
}
