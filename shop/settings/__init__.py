"""Settings, by subject. No environment at all gives the embedded form: one machine, SQLite, a broker made of files.

Every name read here is listed in .env.example with what it is for. A bad value stops the start with a sentence.
"""

# Django takes every name in capitals from here: one forgotten in a list would be a setting silently lost.
from shop.settings.background import *
from shop.settings.kept import *
from shop.settings.made_of import *
from shop.settings.messages import *
from shop.settings.rest import *
from shop.settings.running import *
from shop.settings.security import *
