"""The client's page: a talk over one neck. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.client_talk.figure import your_neck
from tonewood.lesson.client_talk.talk import two_necks
from tonewood.lesson.shared.glossary import glossary
from tonewood.panel.page import caution
