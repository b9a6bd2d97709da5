"""The desk in a web browser: on this machine, or on a tablet beside the laser.

| module | what it does |
|---|---|
| `guard` | who may talk to it: host, origin, key, cookie; texts in, yes or no out |
| `sittings` | the running desks, and the page that shows each of them |
| `server` | what is answered at which address |
| `child` | one desk, as the server starts it |
| `held` | the one folder in which files may be chosen |
| `page/` | the page: its own words, looks and keys; nothing on it comes from elsewhere |

It needs the extra `rotary[browser]`. Nothing here is imported by the desk in a terminal, except `held`.
"""
