"""The engine's version: it changes whenever an answer to the same question would."""

ENGINE_VERSION = "1.1.0"
