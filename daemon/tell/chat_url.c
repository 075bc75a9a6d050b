/* SPDX-License-Identifier: MIT */
#include "tell/chat_url.h"

#include <ctype.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/whole_file.h"
#include "core/need.h"
#include "loop/http.h"

enum { URL_MOST = 8192 };

static char *
from_environment(const char *name, struct problems *problems)
{
    const char *url = getenv(name);

    if (!url || !*url)
        problems_add(problems, "tell.chat.url_env: the environment variable %s is not set", name);
    else if (!http_is_url(url))
        problems_add(problems,
                     "tell.chat.url_env: the environment variable %s holds no http:// or https:// "
                     "address",
                     name);
    else
        return need_text(url);
    return NULL;
}

/* Where to read it: the credential of that name, where there is one; for free(). */
static char *
place_of(const char *path)
{
    const char *folder = getenv("CREDENTIALS_DIRECTORY");
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;

    if (folder) {
        size_t size = strlen(folder) + strlen(name) + 2;
        char *place = need_memory(size, 1);

        snprintf(place, size, "%s/%s", folder, name);
        if (access(place, F_OK) == 0)
            return place;
        free(place);
    }
    return need_text(path);
}

/* Without what an editor leaves behind the line. */
static void
trim(char *text, size_t length)
{
    while (length > 0 && isspace((unsigned char)text[length - 1]))
        text[--length] = '\0';
}

static char *
from_file(const char *path, struct problems *problems)
{
    char *place = place_of(path);
    size_t length = 0;
    char *url = whole_file_read(place, URL_MOST, &length);

    if (url)
        trim(url, length);
    if (!url)
        problems_add(problems, "tell.chat.url_file: %s: cannot read: %s", place,
                     whole_file_why(errno));
    else if (!*url)
        problems_add(problems, "tell.chat.url_file: %s: is empty; it must hold the hook's address",
                     place);
    else if (!http_is_url(url))
        problems_add(problems, "tell.chat.url_file: %s: holds no http:// or https:// address",
                     place);
    if (url && (!*url || !http_is_url(url))) {
        free(url);
        url = NULL;
    }
    free(place);
    return url;
}

char *
chat_url(const struct chat_settings *settings, struct problems *problems)
{
    return settings->url_file ? from_file(settings->url_file, problems)
                              : from_environment(settings->url_env, problems);
}
